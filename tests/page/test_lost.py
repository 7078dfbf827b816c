"""Nothing that the page said was saved is lost, whatever dies."""

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
    page.wait_for_selector("[data-saving=saving]", state="detached")
    assert page.locator("[data-saving=saved]").count() == 1
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
