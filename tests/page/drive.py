"""The hands of the page's tests: start and kill a service, launch a browser, wait for a plan."""

import contextlib
import json
import os
import re
import shutil
import signal
import ssl
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

from playwright.sync_api import sync_playwright

ROOT = Path(__file__).parents[2]
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
MAC = "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome"
# a bare machine has neither a user for the sandbox nor a graphics card
ARGS = [
    *("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
    *("--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"),
]


def chromium():
    """Give the machine's Chromium, None where the driver brings its own."""
    own = next((p for name in NAMES if (p := shutil.which(name))), None)
    return own or (MAC if Path(MAC).exists() else None)


@contextlib.contextmanager
def launched():
    """Launch the machine's Chromium, or the driver's own where there is none."""
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=chromium(), args=ARGS)
        yield browser
        browser.close()


@contextlib.contextmanager
def beside(browser, *more):
    """Launch another browser with further options, beside one that runs."""
    kind = browser.browser_type
    other = kind.launch(executable_path=chromium(), args=[*ARGS, *more])
    yield other
    other.close()


class Serving:
    """`hillwright serve` in a process of its own, that may be killed and started again."""

    def __init__(self, folder, file=None, options=()):
        self.folder, self.file, self.port, self.process = folder, file, 0, None
        self.options = [str(each) for each in options]

    def __enter__(self):
        self.start()
        return self

    def __exit__(self, *_):
        self.kill(signal.SIGINT)

    def start(self):
        log = self.folder / "serve.log"
        command = [sys.executable, "-m", "hillwright", "serve", "--no-browser"]
        command += ["--store", str(self.folder / "jobs.sqlite"), "--port", str(self.port)]
        command += [*self.options, *([str(self.file)] if self.file else [])]
        environment = {**os.environ, "PYTHONUNBUFFERED": "1"}
        with log.open("w") as out:
            self.process = subprocess.Popen(
                command, stdout=out, stderr=subprocess.STDOUT, env=environment, cwd=self.folder
            )
        while not (
            found := re.search(r"(https?://127\.0\.0\.1:(\d+)/)\S*\?token=(\S+)", log.read_text())
        ):
            assert self.process.poll() is None, log.read_text()
            time.sleep(0.05)
        self.address, (self.base, port, self.token) = found[0], found.groups()
        self.port = int(port)

    def kill(self, how=signal.SIGKILL):
        self.process.send_signal(how)
        self.process.wait(30)

    def ask(self, path, body=None):
        return json.loads(self.raw(path, body))

    def raw(self, path, body=None):
        data = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(self.base.rstrip("/") + path, data)
        request.add_header("Authorization", f"Bearer {self.token}")
        request.add_header("Content-Type", "application/json")
        trusting = ssl._create_unverified_context() if self.base.startswith("https") else None
        with urllib.request.urlopen(request, timeout=120, context=trusting) as answer:
            return answer.read()

    def get(self, path):
        return self.ask(path)

    def post(self, path, body):
        return self.ask(path, body)

    def started(self, **new):
        """Start a job and wait until it is worked out."""
        job = self.post("/api/jobs", new)["id"]
        self.stands(job)
        return job

    def stands(self, job):
        while (head := self.get(f"/api/jobs/{job}/plan"))["state"] == "working":
            time.sleep(0.1)
        return head


class Hill:
    """A job open on a page."""

    def __init__(self, page, serving, job):
        self.page, self.serving, self.job = page, serving, job

    def open(self, more=""):
        self.page.goto(f"{self.serving.base}jobs/{self.job}{more}")
        if not more:
            self.settled()
        return self

    def state(self):
        return self.page.locator(".state").evaluate("s => ({ ...s.dataset })")

    def settled(self, other_than=0):
        """Wait until what is saved is worked out: another revision than the one named."""
        end = time.monotonic() + 120
        while time.monotonic() < end:
            if self.page.locator(".state[data-planned]").count():
                now = self.state()
                saved = self.page.locator("[data-saving=saved]").count() == 1
                revision = int(now.get("revision", 0))
                if saved and revision != other_than and now["planned"] == str(revision):
                    # the ten stand there from the first; their answers come with the plan
                    self.page.locator(".mark.wait").first.wait_for(state="detached")
                    return revision
            time.sleep(0.05)
        raise AssertionError(f"not worked out: {self.page.locator('.head').inner_text()}")

    def revision(self):
        return int(self.state()["revision"])

    def change(self, do):
        """Do something that changes the job, and wait until it is saved and worked out."""
        before = self.revision()
        do()
        return self.settled(other_than=before)

    def answer(self, number):
        """Give the short answer to a question, and its verdict."""
        item = self.page.locator(".question").nth(number - 1)
        return item.locator(".short").inner_text(), item.locator(".mark").inner_text()

    def figures(self, number):
        """Give the figures of a question by their ids."""
        self.page.locator(".question").nth(number - 1).click()
        rows = self.page.locator(".figures li").all()
        return {
            r.locator("[data-figure]").get_attribute("data-figure"): r.locator("b").inner_text()
            for r in rows
        }

    def set(self, key, value):
        """Type a value into the form of a key of the job file."""
        field = self.page.locator(f"[data-key='{key}']")
        self.unfolded(field)
        field.fill(value)
        field.press("Enter")

    @staticmethod
    def unfolded(field):
        """Open whatever is folded about a field."""
        field.evaluate(
            "e => document.querySelectorAll('details').forEach(d => { d.open ||= d.contains(e); })"
        )

    def cells(self):
        return int(re.match(r"([\d,]+) whole cells", self.answer(2)[0])[1].replace(",", ""))

    def key(self, path):
        """Give what the job file holds at a place; None where nothing."""
        found = self.serving.get(f"/api/jobs/{self.job}")["job"]
        for step in path.strip("/").split("/"):
            found = found[int(step)] if isinstance(found, list) else (found or {}).get(step)
        return found

    def part(self, name):
        """Give a part of the plan: lengths of pipe by kind for "drip"."""
        from hillwright.web.packed import unpack

        head = self.serving.get(f"/api/jobs/{self.job}/plan")["parts"][name]
        arrays, meta = unpack(self.serving.raw(head["url"]))
        line = arrays["line"]
        lengths = ((line[:, 1] - line[:, 0]) ** 2).sum(axis=1) ** 0.5
        return {
            "length": [float(lengths[arrays["part"] == k].sum()) for k in range(4)],
            "meta": meta,
        }

    def spot(self, x, y):
        """Give where a place of the plan [m] lies on the canvas [CSS px]."""
        return self.page.locator("#plan").evaluate(
            """(c, [x, y]) => {
                const v = JSON.parse(c.dataset.view);
                const cos = Math.cos(v.turn), sin = Math.sin(v.turn);
                const dx = (x - v.x) * v.scale, dy = (y - v.y) * v.scale;
                return [v.width / 2 + cos * dx - sin * dy, v.height / 2 - sin * dx - cos * dy];
            }""",
            [x, y],
        )

    def tool(self, name):
        self.page.select_option(".bar select >> nth=1", name)

    def points(self):
        """Open the tool's list of numbers and give its rows."""
        details = self.page.locator(".toolpanel details")
        details.evaluate("d => { d.open = true; }")
        return self.page.locator(".toolpanel li")
