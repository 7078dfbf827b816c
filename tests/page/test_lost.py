"""Nothing that the page said was saved is lost, whatever dies."""

import signal

import pytest
from drive import Hill, Serving


@pytest.fixture
def own(tmp_path):
    with Serving(tmp_path) as found:
        yield found


def test_a_killed_service_loses_nothing_that_was_saved_and_gets_what_was_kept(browser, own):
    context = browser.new_context(viewport={"width": 1440, "height": 900})
    page = context.new_page()
    page.set_default_timeout(60_000)
    page.goto(own.address)
    hill = Hill(page, own, own.started(example="bracken-bank")).open()
    page.locator(".question").nth(1).click()
    hill.set("/cell/name", "first box")
    # the page has heard of the new revision, and says that it is saved
    page.wait_for_selector(".state[data-revision='2']")
    page.wait_for_selector("[data-saving=saved]")
    own.kill()  # while the plan of that edit is being worked out
    hill.set("/cell/mass", "20 lb")
    kept = page.locator("[data-saving=kept]")
    kept.wait_for()
    assert "back: 1" in kept.inner_text()
    page.wait_for_timeout(300)
    own.start()
    # it was started anew and lets in only who has its new address: the page says so
    page.locator(".notice", has_text="started anew").wait_for()
    page.goto(own.address)
    hill.open()
    assert hill.key("/cell/name") == "first box"
    assert hill.key("/cell/mass") == "20 lb"
    context.close()


def test_a_phone_that_is_let_in_no_more_keeps_its_papers_and_says_why(browser, own):
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    page = context.new_page()
    page.set_default_timeout(60_000)
    page.goto(own.address)
    job = own.started(example="bracken-bank")
    Hill(page, own, job).open("/field")
    page.locator(".card").first.wait_for()
    page.evaluate("navigator.serviceWorker.ready.then(() => 1)")
    page.wait_for_timeout(1500)
    own.kill()
    own.start()
    page.reload()
    page.locator(".card").first.wait_for()
    page.locator(".tick").first.click()
    page.locator(".sync.grave", has_text="Open the address that it printed").wait_for()
    page.goto(own.address)
    Hill(page, own, job).open("/field")
    page.locator(".sync[data-waiting='0']", has_text="Every tick is sent").wait_for()
    assert len(own.get(f"/api/jobs/{job}/ticks")["ticks"]) == 1
    context.close()


def test_a_signal_too_weak_for_an_answer_opens_the_papers_that_are_kept(browser, own):
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    page = context.new_page()
    page.set_default_timeout(30_000)
    page.goto(own.address)
    job = own.started(example="bracken-bank")
    Hill(page, own, job).open("/field")
    page.locator(".card").first.wait_for()
    page.evaluate("navigator.serviceWorker.ready.then(() => 1)")
    page.wait_for_timeout(1500)
    own.process.send_signal(signal.SIGSTOP)  # it takes what is sent, and answers nothing
    try:
        page.reload()
        page.locator(".card").first.wait_for()
        page.locator(".tick").first.click()
        assert page.locator(".tick").first.get_attribute("aria-checked") == "true"
    finally:
        own.process.send_signal(signal.SIGCONT)
    page.locator(".sync[data-waiting='0']").wait_for()
    context.close()


def test_a_browser_keeps_of_each_hill_only_the_plan_that_stands(browser, own):
    context = browser.new_context()
    page = context.new_page()
    page.set_default_timeout(60_000)
    page.goto(own.address)
    hill = Hill(page, own, own.started(example="bracken-bank")).open()
    page.evaluate("navigator.serviceWorker.ready.then(() => 1)")
    page.reload()  # through the worker now
    hill.settled()
    page.locator(".question").nth(1).click()
    for pounds in (20, 21):
        hill.change(lambda pounds=pounds: hill.set("/cell/mass", f"{pounds} lb"))
    page.reload()
    hill.settled()
    page.wait_for_timeout(1000)
    kept = page.evaluate("""async () => {
      const cache = await caches.open("hillwright-1");
      const paths = (await cache.keys()).map((r) => new URL(r.url).pathname);
      return paths.filter((p) => p.includes("/parts/"));
    }""")
    stands = {p["url"] for p in own.get(f"/api/jobs/{hill.job}/plan")["parts"].values()}
    assert len(kept) > 10
    assert set(kept) <= stands
    context.close()


def test_a_tab_that_nobody_looks_at_takes_no_line_and_catches_up(browser, own):
    context = browser.new_context()
    page = context.new_page()
    page.set_default_timeout(60_000)
    page.goto(own.address)
    hill = Hill(page, own, own.started(example="bracken-bank")).open()
    turn = """hidden => {
      Object.defineProperty(document, "hidden", { configurable: true, get: () => hidden });
      document.dispatchEvent(new Event("visibilitychange"));
    }"""
    page.evaluate(turn, True)
    edit = [{"op": "replace", "path": "/site/name", "value": "Renamed"}]
    own.post(f"/api/jobs/{hill.job}/edits", {"base": hill.revision(), "patch": edit})
    page.wait_for_timeout(1000)
    assert page.locator("h1").inner_text() != "Renamed"
    page.evaluate(turn, False)
    page.locator("h1", has_text="Renamed").wait_for()
    hill.settled()
    context.close()


def test_a_browser_that_was_never_let_in_is_told_so_in_words(browser, own):
    context = browser.new_context()
    page = context.new_page()
    page.goto(own.base)
    assert page.locator("h1").inner_text() == "Hillwright does not let this browser in"
    assert "{" not in page.locator("body").inner_text()
    context.close()


def test_a_hill_that_takes_too_long_can_still_be_changed(browser, tmp_path):
    """No answer stands yet: what drives them is there all the same, to be made smaller."""
    with Serving(tmp_path, options=("--longest", 1)) as slow:
        context = browser.new_context(viewport={"width": 390, "height": 844})
        page = context.new_page()
        page.set_default_timeout(60_000)
        page.goto(slow.address)
        job = slow.post("/api/jobs", {"example": "long-meadow"})["id"]
        hill = Hill(page, slow, job).open("?")
        page.locator(".questions .wrong", has_text="takes longer than 1 s").wait_for()
        assert page.locator(".question").count() == 10
        page.locator(".question").nth(1).click()
        hill.set("/cell/name", "larger box")
        page.locator("[data-saving=saved]").wait_for()
        page.locator(".state[data-revision='2']").wait_for()
        assert hill.key("/cell/name") == "larger box"
        context.close()
