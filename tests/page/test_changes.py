"""Each kind of change, and the number that must follow it."""

import re


def middle_of(page, cell="1-1"):
    """Choose a cell in the table; give its panel."""
    row, number = cell.split("-")
    page.get_by_role("button", name="As a table").click()
    page.get_by_role("button", name=f"Row {row}, cell {number}:").click()
    return page.locator(".chosen")


def test_a_heavier_cell_weighs_on_the_hill_and_undo_after_a_reload_takes_it_back(hill):
    before = hill.figures(3)["stability.weight"]
    hill.page.locator(".question").nth(1).click()
    hill.change(lambda: hill.set("/cell/mass", "30 lb"))
    heavier = hill.figures(3)["stability.weight"]
    pounds = lambda said: float(re.match(r"[\d,]+", said)[0].replace(",", ""))  # noqa: E731
    # 97 cells, each 18 lb heavier than the 12 lb of the job
    assert abs(pounds(heavier) - pounds(before) - 97 * 18) <= 2
    hill.page.reload()
    hill.settled()
    hill.change(lambda: hill.page.get_by_role("button", name="Undo").click())
    assert hill.key("/cell/mass") == "12 lb"
    assert hill.figures(3)["stability.weight"] == before
    hill.change(lambda: hill.page.get_by_role("button", name="Redo").click())
    assert hill.key("/cell/mass") == "30 lb"


def test_a_corner_of_the_outline_dragged_outwards_makes_room_for_more_cells(hill):
    before, page = hill.cells(), hill.page
    hill.tool("outline")
    canvas = page.locator("#plan")
    box = canvas.bounding_box()
    inputs = hill.points().nth(1).locator("input")  # corner 2: the right end of the toe
    x, y = (float(inputs.nth(k).input_value()) for k in (0, 1))
    hill.page.locator(".toolpanel details").evaluate("d => { d.open = false; }")
    page.wait_for_timeout(200)  # the drawing takes the room again
    box = canvas.bounding_box()
    spot = hill.spot(x * 0.3048, y * 0.3048)
    page.mouse.move(box["x"] + spot[0], box["y"] + spot[1])
    page.mouse.down()
    page.mouse.move(box["x"] + spot[0] + 20, box["y"] + spot[1] + 30, steps=4)

    def drop():
        page.mouse.move(box["x"] + spot[0] + 40, box["y"] + spot[1] + 60, steps=4)
        page.mouse.up()

    hill.change(drop)
    assert hill.cells() > before
    moved = [float(v.split()[0]) for v in hill.key("/outline/corners/1")]
    assert moved[0] > x
    assert moved[1] < y


def test_escape_lets_go_of_a_corner_that_is_being_dragged(hill):
    page, revision = hill.page, hill.revision()
    hill.tool("outline")
    page.wait_for_timeout(200)
    box = page.locator("#plan").bounding_box()
    x, y = (float(v.split()[0]) * 0.3048 for v in hill.key("/outline/corners/1"))
    spot = hill.spot(x, y)
    page.mouse.move(box["x"] + spot[0], box["y"] + spot[1])
    page.mouse.down()
    page.mouse.move(box["x"] + spot[0] + 30, box["y"] + spot[1] + 10, steps=3)
    page.keyboard.press("Escape")
    page.mouse.move(box["x"] + spot[0] + 60, box["y"] + spot[1] + 20, steps=3)
    page.mouse.up()
    page.wait_for_timeout(500)
    assert hill.revision() == revision
    assert page.locator(".toolpanel").count() == 1  # the tool stays in the hand


def test_a_corner_moved_by_its_numbers_takes_cells_away(hill):
    before = hill.cells()
    hill.tool("outline")
    right = hill.points().nth(1).locator("input").first

    def move():
        right.fill("20")
        right.press("Enter")

    hill.change(move)
    assert hill.cells() < before
    assert hill.key("/outline/corners/1")[0] == "20 ft"


def test_a_place_to_keep_off_takes_cells_away_and_gives_them_back(hill):
    before, page = hill.cells(), hill.page
    hill.tool("exclusion")
    hill.points()
    hill.change(lambda: page.get_by_role("button", name="Add a place to keep off").click())
    assert hill.cells() < before
    assert len(hill.key("/exclusion")) == 2
    hill.points()
    hill.change(lambda: hill.points().nth(2).get_by_role("button", name="Take away").click())
    assert hill.cells() == before


def test_the_way_in_is_set_moved_by_keys_and_taken_away(hill):
    page = hill.page
    hill.tool("entry")
    hill.points()
    hill.change(page.get_by_role("button", name="Add a way in").click)
    first = hill.key("/planting/entry/0")
    page.locator("#plan").focus()
    page.keyboard.press("n")
    hill.change(lambda: page.keyboard.press("ArrowRight"))
    moved = hill.key("/planting/entry/0")
    feet = lambda text: float(text.split()[0])  # noqa: E731
    assert abs(feet(moved[0]) - feet(first[0]) - 0.1) < 0.011
    assert moved[1] == first[1]
    hill.change(lambda: page.keyboard.press("Delete"))
    assert "entry" not in (hill.key("/planting") or {})


def test_the_top_string_that_is_moved_is_followed_by_row_1(hill):
    hill.tool("string")
    y = hill.points().nth(0).locator("input").nth(1)
    value = float(y.input_value())

    def move():
        y.fill(f"{value - 2:.2f}")
        y.press("Enter")

    hill.change(move)
    assert hill.key("/layout/top") == "string"
    hill.page.locator(".question").nth(1).click()
    hill.page.locator(".chosen details").first.evaluate("d => { d.open = true; }")
    assert "string" in hill.page.locator(".chosen").inner_text()


def test_the_tap_moved_away_makes_the_supply_line_longer(hill):
    hill.tool("tap")
    x = hill.points().nth(0).locator("input").first
    before = hill.part("drip")

    def move():
        x.fill("-20")
        x.press("Enter")

    hill.change(move)
    after = hill.part("drip")
    assert float(hill.key("/supply/place")[0].split()[0]) == -20
    # from the tap to the first lateral, as supply and header
    assert sum(after["length"][:2]) > sum(before["length"][:2]) + 3


def test_a_cell_is_planted_left_open_and_freed_again(hill):
    page = hill.page
    chosen = middle_of(page, "5-5")
    choice = chosen.locator(".decide select")
    hill.change(lambda: choice.select_option(label="plant Oregano"))
    assert hill.key("/pin") == [{"cell": "R5-5", "plant": "oregano"}]
    assert "Oregano" in chosen.locator(".facts").inner_text()
    hill.change(lambda: choice.select_option("open"))
    assert hill.key("/planting/open") == ["R5-5"]
    assert "left open" in chosen.locator(".facts").inner_text()
    hill.change(lambda: choice.select_option("walk"))
    assert "walking" in chosen.locator(".facts").inner_text()
    hill.change(lambda: choice.select_option("free"))
    assert not hill.key("/planting/walk")


def test_a_dearer_price_of_water_is_in_the_answer_to_the_seventh_question(hill):
    hill.page.locator(".question").nth(6).click()
    hill.change(lambda: hill.set("/watering/price", "19"))
    assert hill.key("/watering/price") == 19


def test_a_value_that_would_be_wrong_is_refused_with_what_would_be_right(hill):
    revision = hill.revision()
    hill.page.locator(".question").nth(1).click()
    hill.set("/cell/width", "24 stone")
    field = hill.page.locator(".input", has=hill.page.locator("[data-key='/cell/width']"))
    field.locator(".wrong").wait_for()  # beside the box, and what was typed stays in it
    assert "Right would be" in field.locator(".wrong").inner_text()
    assert field.locator("input").input_value() == "24 stone"
    assert hill.revision() == revision
    assert hill.key("/cell/width") == "24 in"


def test_a_plan_that_cannot_be_worked_out_is_saved_and_told(hill):
    hill.tool("outline")
    far = hill.points().nth(1).locator("input").first
    far.fill("400")
    far.press("Enter")
    wrong = hill.page.locator("section.wrong")
    wrong.wait_for()
    assert "Right would be" in wrong.inner_text()
    assert hill.key("/outline/corners/1")[0] == "400 ft"
    hill.page.get_by_role("button", name="Undo").click()
    wrong.wait_for(state="detached")


def test_a_first_planting_that_is_refined_afterwards_says_so(hill):
    """Planted anew, the shade of its own trees is looked at after it is shown."""
    page = hill.page
    page.evaluate("""() => {
      window.said = [];
      new MutationObserver(() => {
        const words = document.querySelector(".refining")?.textContent;
        if (words) window.said.push(words);
      }).observe(document.querySelector(".state"), { childList: true, subtree: true });
    }""")
    page.locator(".question").nth(5).click()
    hill.change(lambda: hill.set("/planting/seed", "5"))
    assert any("better one is being looked for" in words for words in page.evaluate("said"))
    assert page.locator(".refining").count() == 0


def test_two_people_who_change_different_things_keep_both(hill, new_page):
    from drive import Hill

    other = Hill(new_page(), hill.serving, hill.job).open()
    other.page.locator(".question").nth(1).click()
    other.change(lambda: other.set("/cell/name", "cedar box"))
    told = hill.page.locator(".notice")
    told.wait_for()
    assert "Somebody else changed this hill" in told.inner_text()
    assert "Both" not in told.inner_text()  # who only looks on has changed nothing
    hill.settled()
    hill.page.locator(".question").nth(1).click()
    hill.change(lambda: hill.set("/cell/clips_per_edge", "3"))
    assert hill.key("/cell/name") == "cedar box"
    assert hill.key("/cell/clips_per_edge") == 3


def test_a_named_revision_is_compared_with_now(hill):
    page = hill.page
    page.get_by_role("button", name="Revisions").click()
    page.get_by_label("Name this revision").fill("before the flood")
    page.get_by_role("button", name="Keep the name").click()
    page.get_by_text("before the flood").wait_for()
    page.locator(".question").nth(1).click()
    hill.change(lambda: hill.set("/cell/name", "oak box"))
    page.get_by_role("button", name="Revisions").click()
    page.get_by_role("button", name="Compare: before the flood").click()
    compared = page.locator(".compared")
    compared.wait_for()
    assert "Cell, name" in compared.inner_text()
    assert "oak box" in compared.inner_text()


def test_every_figure_says_why_with_equation_numbers_and_source(hill):
    hill.page.locator(".question").nth(0).click()
    hill.page.get_by_role("button", name="Why? Mean slope").click()
    why = hill.page.locator(".chosen")
    why.locator(".equation").wait_for()
    assert "atan" in why.locator(".equation").inner_text()
    assert why.locator(".result").inner_text().endswith("°")
    assert "exact geometry" in why.locator(".source").inner_text()


def test_a_long_note_is_saved_though_it_is_no_name_for_a_revision(hill):
    note = "the key hangs behind the shed; " * 12
    hill.change(lambda: hill.set("/site/notes", note))
    assert hill.key("/site/notes") == note.strip()
