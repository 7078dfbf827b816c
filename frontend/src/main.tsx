import { register } from "./state/kept";
import { render } from "preact";
import { App } from "./screens/app";
import "./style.css";

render(<App />, document.getElementById("page")!);

// the phone keeps the page and its papers for where there is no signal
if (import.meta.env.PROD) register();
