"""For everybody: no finding by axe on any screen, the keyboard alone, every width."""

import numpy as np
import pytest
from drive import ROOT, Hill

AXE = ROOT / "frontend" / "node_modules" / "axe-core" / "axe.min.js"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


def clean(page, where):
    page.evaluate(AXE.read_text() + "; 0")
    found = page.evaluate(
        "rules => axe.run(document, { runOnly: { type: 'tag', values: rules } })", RULES
    )
    told = [
        f"{v['id']}: {n['target']} {n['html'][:120]}"
        for v in found["violations"]
        for n in v["nodes"]
    ]
    assert not told, "\n".join([where, *told])
    assert len(found["passes"]) > 10


def wide(page, where):
    """Nothing sticks out to the side."""
    over = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    assert over <= 0, f"{where}: {over} px too wide"


SCREENS = {
    "a question": lambda p: p.locator(".question").nth(2).click(),
    "why": lambda p: p.locator(".figures button").first.click(),
    "table": lambda p: p.get_by_role("button", name="As a table").click(),
    "a cell": lambda p: p.locator(".celltable td button").first.click(),
    "a row": lambda p: p.locator(".celltable th button").first.click(),
    "section": lambda p: p.get_by_role("button", name="Section", exact=True).click(),
    "3D": lambda p: p.get_by_role("button", name="3D").click(),
    "plan": lambda p: p.get_by_role("button", name="Plan", exact=True).click(),
    "a tool": lambda p: p.select_option(".bar select >> nth=1", "outline"),
    "an overlay": lambda p: p.select_option(".bar select >> nth=0", "held"),
    "papers": lambda p: p.get_by_role("button", name="Papers", exact=True).click(),
    "revisions": lambda p: p.get_by_role("button", name="Revisions").click(),
}


def test_every_screen_of_a_hill_is_clean(page, serving, bracken):
    hill = Hill(page, serving, bracken).open()
    clean(page, "open")
    for name, go in SCREENS.items():
        go(hill.page)
        page.wait_for_timeout(250)
        clean(page, name)


def test_the_start_is_clean(page):
    clean(page, "start")


def test_the_phone_s_screens_are_clean_and_no_wider_than_the_phone(new_page, serving, bracken):
    page = new_page(width=360, height=740)
    clean(page, "start")
    wide(page, "start")
    Hill(page, serving, bracken).open()
    for k in (1, 2, 3):
        page.locator(".tabs > *").nth(k).click()
        page.wait_for_timeout(200)
        clean(page, f"tab {k}")
        wide(page, f"tab {k}")
    Hill(page, serving, bracken).open("/field")
    page.locator(".card").first.wait_for()
    for name in ("Row cards", "Day sheet", "Punching list"):
        page.get_by_role("button", name=name).click()
        clean(page, name)
        wide(page, name)


@pytest.mark.parametrize("width", [360, 768, 1024, 1440, 2560])
def test_a_hill_fits_a_screen_of(width, new_page, serving, bracken):
    page = new_page(width=width, height=800)
    wide(page, "start")
    Hill(page, serving, bracken).open()
    wide(page, "hill")
    canvas = page.locator("#plan")
    if width > 760:
        box = canvas.bounding_box()
        assert box["width"] > 300
        assert box["height"] > 140


FOCUSED = """(() => {
  const e = document.activeElement;
  return (e.getAttribute("aria-label") || e.textContent || e.name || "").trim();
})()"""


def focused(page):
    return page.evaluate(FOCUSED)


def tab_to(page, words, most=120):
    for _ in range(most):
        page.keyboard.press("Tab")
        if words in focused(page):
            return
    raise AssertionError(f"{words!r} is not reached by Tab")


def test_the_keyboard_alone_leads_from_nothing_to_a_decided_cell(page, serving):
    tab_to(page, "Bracken bank")
    page.keyboard.press("Enter")
    page.wait_for_url("**/jobs/*")
    hill = Hill(page, serving, page.url.rsplit("/", 1)[1])
    hill.settled()
    page.keyboard.press("Tab")  # the first stop is the way past the head
    assert focused(page) == "Skip to the hill"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "plan"
    page.keyboard.press("Enter")  # chooses the cell in the middle
    first = page.locator("#chosen-title").inner_text()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowRight")
    chosen = page.locator("#chosen-title").inner_text()
    assert chosen.startswith("Row ")
    assert chosen != first
    before = page.locator("#plan").get_attribute("data-view")
    page.keyboard.press("+")
    assert page.locator("#plan").get_attribute("data-view") != before
    # on to the panel, where the cell is decided
    for _ in range(80):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.closest('.decide') !== null"):
            break
    revision = hill.revision()
    page.keyboard.press("ArrowDown")  # from "let the plan choose" to "leave it open"
    hill.settled(other_than=revision)
    row, cell = (int(w.strip(",")) for w in chosen.split() if w.strip(",").isdigit())
    assert hill.key("/planting/open") == [f"R{row}-{cell}"]
    hill.change(lambda: page.keyboard.press("Control+z"))
    assert not hill.key("/planting/open")


def test_the_focus_goes_where_the_eye_goes_and_every_screen_has_its_title(
    new_page, serving, bracken
):
    page = new_page()
    assert page.title() == "Hillwright"
    Hill(page, serving, bracken).open()
    assert page.title() == "Bracken bank (invented) · Hillwright"
    why = page.locator(".figures button").nth(1)
    why.focus()
    page.keyboard.press("Enter")
    page.locator(".equation").wait_for()
    assert page.evaluate("document.activeElement.matches('.chosen')")
    page.locator(".back").focus()
    page.keyboard.press("Enter")
    why.wait_for()
    assert why.evaluate("e => e === document.activeElement")
    phone = new_page(width=390, height=844)
    Hill(phone, serving, bracken).open()
    phone.locator(".question").nth(2).focus()
    phone.keyboard.press("Enter")
    assert phone.evaluate("document.activeElement.matches('.chosen')")
    Hill(phone, serving, bracken).open("/field")
    phone.locator(".card").first.wait_for()
    assert phone.title() == "Field papers: Bracken bank (invented) · Hillwright"


def covered(page):
    """Give the controls that are seen and that something else lies over."""
    return page.evaluate("""() => [...document.querySelectorAll("button, select, a, summary")]
      .filter((e) => {
        const r = e.getBoundingClientRect(), x = r.x + r.width / 2, y = r.y + r.height / 2;
        if (!r.width || x < 0 || y < 0 || x > innerWidth || y > innerHeight) return false;
        const on = document.elementFromPoint(x, y);
        const boxed = e.closest(".questions, .chosen, .under, .toolpanel, .celltable");
        const box = boxed?.getBoundingClientRect();
        if (box && (y > box.bottom || y < box.top)) return false; // scrolled out of its own box
        return on && !e.contains(on) && !on.contains(e);
      }).map((e) => e.getAttribute("aria-label") || e.textContent)""")


def test_a_reader_with_letters_twice_as_large_gets_the_narrow_screen(new_page, serving, bracken):
    page = new_page(width=1280, height=900)
    page.context.new_cdp_session(page).send(
        "Page.setFontSizes", {"fontSizes": {"standard": 32, "fixed": 26}}
    )
    Hill(page, serving, bracken).open()
    wide(page, "large letters")
    assert page.locator(".tabs").is_visible()
    page.locator(".tabs > *").nth(2).click()
    assert page.locator("#plan").bounding_box()["height"] > 150
    assert not covered(page)


def test_a_window_as_small_as_four_times_the_size_makes_it_covers_no_control(
    new_page, serving, bracken
):
    page = new_page(width=320, height=256)
    Hill(page, serving, bracken).open()
    for k in (1, 2, 3):
        page.locator(".tabs > *").nth(k).click()
        page.wait_for_timeout(200)
        wide(page, f"tab {k}")
        assert not [c for c in covered(page) if c in ("Closer", "Farther", "What is chosen")]


def test_a_phone_on_its_side_has_room_for_the_hill(new_page, serving, bracken):
    page = new_page(width=844, height=390, has_touch=True, is_mobile=True)
    Hill(page, serving, bracken).open()
    page.locator(".tabs > *").nth(2).click()
    assert page.locator("#plan").bounding_box()["height"] > 140


def test_on_a_phone_every_control_is_as_big_as_a_thumb(new_page, serving, bracken):
    page = new_page(width=390, height=844, has_touch=True, is_mobile=True)
    small = """() => [...document.querySelectorAll("button, a, select, summary, input")]
      .filter((e) => e.offsetParent && !e.classList.contains("skip"))
      .filter((e) => [e, e.closest("label") ?? e]
        .every((b) => b.getBoundingClientRect().height < 44))
      .map((e) => e.textContent || e.name)"""
    assert page.evaluate(small) == []
    Hill(page, serving, bracken).open()
    for k in (1, 2, 3):
        page.locator(".tabs > *").nth(k).click()
        page.wait_for_timeout(200)
        assert page.evaluate(small) == []


def test_no_corner_of_the_outline_lies_under_the_buttons(page, serving, bracken):
    hill = Hill(page, serving, bracken).open()
    hill.tool("outline")
    rows = [[float(i.input_value()) for i in r.locator("input").all()] for r in hill.points().all()]
    page.locator(".toolpanel details").evaluate("d => { d.open = false; }")
    page.wait_for_timeout(300)
    box = page.locator("#plan").bounding_box()
    assert len(rows) == 5
    for x, y in rows:
        sx, sy = hill.spot(x * 0.3048, y * 0.3048)
        on = page.evaluate(
            "([x, y]) => document.elementFromPoint(x, y).id", [box["x"] + sx, box["y"] + sy]
        )
        assert on == "plan"


def test_the_table_is_one_stop_and_leads_on_to_anchors_and_pipes(page, serving, bracken):
    Hill(page, serving, bracken).open()
    page.get_by_role("button", name="As a table").focus()
    page.keyboard.press("Enter")
    tab_to(page, "Row 1", most=4)  # past the choice of what is shown
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowRight")
    assert focused(page).startswith("Row 2, cell 1:")
    page.keyboard.press("Enter")
    title = page.locator("#chosen-title")
    assert title.inner_text() == "Row 2, cell 1"
    tab_to(page, "Anchor or stake", most=12)
    page.keyboard.press("Enter")
    first = title.inner_text()
    assert first.startswith("Anchor or stake")
    tab_to(page, "The next one", most=6)
    page.keyboard.press("Enter")
    assert title.inner_text() != first
    page.get_by_role("button", name="As a table").click()
    page.locator(".celltable td button").nth(1).click()
    tab_to(page, "Pipe that waters it", most=20)
    page.keyboard.press("Enter")
    assert title.inner_text().startswith("Pipe of valve")


def test_what_lies_under_the_pointer_is_read_off(page, serving, bracken):
    from hillwright.web.packed import unpack

    hill = Hill(page, serving, bracken).open()
    readout = page.locator(".readout")
    assert readout.count() == 0
    parts = serving.get(f"/api/jobs/{bracken}/plan")["parts"]
    arrays = {n: unpack(serving.raw(parts[n]["url"]))[0] for n in ("bars", "drip", "cells")}
    bars, drip = arrays["bars"]["place"], arrays["drip"]
    pipes = drip["line"][drip["part"] == 2].mean(axis=1)  # laterals: those lie on the cells
    off = np.linalg.norm(pipes[:, None, :2] - bars[None, :, :2], axis=2).min(axis=1)

    def over(place):
        x, y = hill.spot(float(place[0]), float(place[1]))
        box = page.locator("#plan").bounding_box()
        page.mouse.move(box["x"] + x, box["y"] + y)
        return readout.inner_text()

    assert over(arrays["cells"]["corners"][0].mean(axis=0)).startswith("Row 1, cell 1 ·")
    assert over(bars[0]).startswith("Anchor or stake 1 ·")
    page.locator(".layers label", has_text="pipes").locator("input").check()
    assert over(pipes[np.argmax(off)]).startswith("Pipe of valve")


def test_where_motion_is_unwanted_nothing_moves_by_itself(new_page, serving, bracken):
    page = new_page(reduced_motion="reduce")
    Hill(page, serving, bracken).open()
    assert page.evaluate("document.getAnimations().length") == 0
