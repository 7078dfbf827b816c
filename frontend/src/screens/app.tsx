import { useEffect } from "preact/hooks";
import { follow, route } from "../state/route";
import { Field } from "../field/field";
import { NoticeBar } from "./noticebar";
import { Start } from "./start";
import { Work } from "./work";

export const App = () => {
  useEffect(() => {
    addEventListener("click", follow);
    return () => removeEventListener("click", follow);
  }, []);
  const at = route.value;
  return (
    <>
      {at.at === "start" ? <Start /> : at.at === "field" ? <Field key={at.id} id={at.id} /> : <Work key={at.id} id={at.id} />}
      <NoticeBar />
    </>
  );
};
