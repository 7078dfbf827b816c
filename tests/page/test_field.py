"""On the slope with a phone: ticks without a signal, and no side's ticks lost."""

import pytest
from drive import ROOT, Hill, Serving, beside

PHONE = {"width": 390, "height": 844, "has_touch": True}


@pytest.fixture
def phone(new_page):
    return new_page(**PHONE)


def field(page, serving, job):
    Hill(page, serving, job).open("/field")
    page.locator(".card").first.wait_for()
    return page


def tick(page, key):
    return page.locator(f"[data-tick='{key}']")


def sent(page):
    page.locator(".sync[data-waiting='0']", has_text="Every tick is sent").wait_for()


def done(serving, job):
    return {t["key"]: t["done"] for t in serving.get(f"/api/jobs/{job}/ticks")["ticks"]}


def test_rows_are_ticked_without_a_signal_and_sent_when_it_is_back(phone, serving, bracken):
    page = field(phone, serving, bracken)
    # the worker has kept the page once it answers for it
    page.evaluate("navigator.serviceWorker.ready.then(() => 1)")
    page.wait_for_timeout(1500)
    page.context.set_offline(True)
    page.reload()
    page.locator(".card").first.wait_for()
    tick(page, "row/R01/hung").click()
    assert tick(page, "row/R01/hung").get_attribute("aria-checked") == "true"
    page.locator(".sync.grave", has_text="wait to be sent: 1").wait_for()
    page.reload()
    assert tick(page, "row/R01/hung").get_attribute("aria-checked") == "true"
    assert "row/R01/hung" not in done(serving, bracken)
    page.context.set_offline(False)
    sent(page)
    assert done(serving, bracken)["row/R01/hung"] is True


def test_two_phones_keep_each_other_s_ticks(new_page, serving, bracken):
    mine, theirs = (field(new_page(**PHONE), serving, bracken) for _ in range(2))
    for page in (mine, theirs):
        sent(page)
        page.context.set_offline(True)
    tick(mine, "row/R02/filled").click()
    tick(theirs, "row/R03/filled").click()
    for page in (mine, theirs):
        page.context.set_offline(False)
        sent(page)
    for key in ("row/R02/filled", "row/R03/filled"):
        mine.locator(f"[data-tick='{key}'][aria-checked=true]").wait_for()
        theirs.locator(f"[data-tick='{key}'][aria-checked=true]").wait_for()


def test_a_tick_is_taken_back(phone, serving, bracken):
    page = field(phone, serving, bracken)
    tick(page, "row/R04/planted").click()
    sent(page)
    tick(page, "row/R04/planted").click()
    page.locator("[data-tick='row/R04/planted'][aria-checked=false]").wait_for()
    sent(page)
    page.reload()
    page.locator(".card").first.wait_for()
    assert tick(page, "row/R04/planted").get_attribute("aria-checked") == "false"


def test_a_row_card_says_what_its_letters_stand_for_and_is_one_press_away(phone, serving, bracken):
    page = field(phone, serving, bracken)
    card = page.locator("#R07")
    letters = set(card.locator(".strip b").all_inner_texts()) - {"·"}
    assert len(letters) > 1
    assert letters == set(card.locator(".code b").all_inner_texts())
    page.locator(".jump").get_by_text("7", exact=True).click()
    page.wait_for_timeout(300)
    top = card.bounding_box()["y"]
    assert page.locator(".field header").bounding_box()["height"] <= top < 400


def test_the_day_sheet_goes_through_every_day_of_the_work(phone, serving, bracken):
    page = field(phone, serving, bracken)
    page.get_by_role("button", name="Day sheet").click()
    days, seen = 1, set()
    while True:
        seen.update(page.locator(".tick").all_inner_texts())
        later = page.get_by_role("button", name="Next day")
        if later.is_disabled():
            break
        later.click()
        days += 1
    head = serving.get(f"/api/jobs/{bracken}/plan")["parts"]["schedule"]
    schedule = serving.get(head["url"])
    assert days == schedule["days"]
    assert len(seen) >= len({task["name"] for task in schedule["tasks"]})


def test_every_hole_stands_on_the_punching_list_in_the_order_in_which_one_walks(
    phone, serving, bracken
):
    page = field(phone, serving, bracken)
    page.get_by_role("button", name="Punching list").click()
    lists = page.locator("details.card")
    lists.first.wait_for()
    first = lists.first
    first.locator("summary").click()
    words = first.locator(".tick").all_inner_texts()
    at = [float(w.split(" at ")[1].split()[0]) for w in words]
    assert at == sorted(at)
    assert len(at) > 2


def test_targets_are_as_big_as_a_thumb(phone, serving, bracken):
    page = field(phone, serving, bracken)
    for control in page.locator("button, a").all():
        if control.is_visible() and control.evaluate("e => e.matches('.tick, nav button')"):
            assert control.bounding_box()["height"] >= 44


def test_a_tick_that_is_not_taken_is_told_and_keeps_no_other_back(phone, serving, bracken):
    page = field(phone, serving, bracken)
    page.evaluate("navigator.serviceWorker.ready.then(() => 1)")
    odd = '{"uuid": "short", "key": "row/R05/hung", "done": true, "at": "noon", "device": ""}'
    page.evaluate(f"localStorage.setItem('hillwright.waiting.{bracken}', '[{odd}]')")
    page.reload()
    page.locator(".notice.grave", has_text="does not take 1 of the ticks").wait_for()
    tick(page, "row/R06/hung").click()
    sent(page)
    assert done(serving, bracken)["row/R06/hung"] is True


def test_a_plan_that_says_stop_says_so_on_the_papers_and_on_the_slope(phone, serving, bracken):
    page = field(phone, serving, bracken)
    stops = page.locator(".stops")
    assert "Nothing is built by it" in stops.inner_text()
    assert "Question 1" in stops.inner_text()
    assert stops.bounding_box()["y"] < page.locator(".card").first.bounding_box()["y"]
    hill = Hill(page, serving, bracken).open()
    hill.page.get_by_role("button", name="Papers", exact=True).click()
    assert "Question 1" in page.locator(".chosen .stops").inner_text()


def test_papers_that_came_over_https_are_opened_anew_without_a_signal(browser, tmp_path):
    sealed = ROOT / "tests" / "page" / "sealed"
    options = ["--certificate", sealed / "certificate.pem", "--key", sealed / "key.pem"]
    # a browser that was told to trust what nobody signed stands for a phone that trusts its maker
    trusting = beside(browser, "--ignore-certificate-errors")
    with Serving(tmp_path, options=options) as serving, trusting as b:
        job = serving.started(example="bracken-bank")
        page = b.new_page(viewport={"width": 390, "height": 844})
        page.set_default_timeout(60_000)
        page.goto(serving.address)
        field(page, serving, job)
        page.locator("[data-kept=ready]").wait_for()
        page.context.set_offline(True)
        page.reload()
        page.locator(".card").first.wait_for()
        tick(page, "row/R01/filled").click()
        page.locator(".sync.grave", has_text="wait to be sent: 1").wait_for()
        page.context.set_offline(False)
        sent(page)
        assert done(serving, job)["row/R01/filled"] is True


def test_over_plain_http_on_a_network_the_phone_is_told_that_nothing_is_kept(browser, tmp_path):
    # an address for documentation stands for the machine's own on its network
    away = "192.0.2.7"
    rules = f"--host-resolver-rules=MAP {away} 127.0.0.1"
    with Serving(tmp_path, options=["--host", "0.0.0.0"]) as serving, beside(browser, rules) as b:
        job = serving.started(example="bracken-bank")
        page = b.new_page(viewport={"width": 390, "height": 844})
        page.set_default_timeout(60_000)
        base = serving.base.replace("127.0.0.1", away)
        page.goto(f"{base}?token={serving.token}")
        page.goto(f"{base}jobs/{job}/field")
        page.locator(".card").first.wait_for()
        assert "not encrypted" in page.locator("[data-kept=plain]").inner_text()
        tick(page, "row/R01/filled").click()
        sent(page)
