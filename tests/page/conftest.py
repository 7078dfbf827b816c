"""A real service in a process of its own, and a real browser: the page as a person meets it."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))  # for drive.py, the hands of these tests

from drive import Hill, Serving, launched


@pytest.fixture(scope="session")
def browser():
    with launched() as found:
        yield found


@pytest.fixture(scope="session")
def serving(tmp_path_factory):
    with Serving(tmp_path_factory.mktemp("serving")) as found:
        yield found


@pytest.fixture
def new_page(browser, serving):
    """Open a page of its own in the browser, let in by the address that the service printed."""
    opened = []

    def make(width=1440, height=900, **more):
        context = browser.new_context(viewport={"width": width, "height": height}, **more)
        opened.append((context, faults := []))
        page = context.new_page()
        page.set_default_timeout(60_000)
        page.on("pageerror", lambda error: faults.append(f"{error}"))
        # the browser tells of what the content security policy stopped as an error on the console
        page.on(
            "console", lambda m: faults.append(m.text) if "Content Security" in m.text else None
        )
        page.goto(serving.address)
        page.wait_for_selector("h1")
        return page

    yield make
    for context, faults in opened:
        context.close()
        assert not faults


@pytest.fixture
def page(new_page):
    return new_page()


@pytest.fixture(scope="session")
def bracken(serving):
    """A job of the demo hillside, worked out, to be looked at and never changed."""
    return serving.started(example="bracken-bank")


@pytest.fixture(scope="session")
def _changing(serving):
    return serving.started(example="bracken-bank")


@pytest.fixture
def hill(page, serving, _changing):
    """The demo hillside open on a page, to be changed; it is as it was again afterwards."""
    first = serving.get(f"/api/jobs/{_changing}")["revision"]
    found = Hill(page, serving, _changing)
    found.open()
    yield found
    serving.post(f"/api/jobs/{_changing}/open", {"revision": first})
