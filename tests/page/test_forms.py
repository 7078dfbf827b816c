"""Forms of the job's keys: rows, ticks and boxes for what the file holds as lists and tables."""

import io
import zipfile

import pytest
from drive import Hill
from test_access import clean, wide


def opened(page, number, *sections):
    """Go to a question, open these of its forms and close the others; all where none is named."""
    page.locator(".question").nth(number - 1).click()
    page.wait_for_selector(".inputs > details", state="attached")
    page.evaluate(
        """named => document.querySelectorAll('.inputs > details').forEach(
            d => { d.open = !named.length || named.includes(d.dataset.section); })""",
        list(sections),
    )


def typed(box, text):
    box.fill(text)
    box.press("Tab")


def test_a_wish_is_filled_in_corrected_where_it_is_wrong_moved_and_taken_away(hill):
    page = hill.page
    opened(page, 6, "wish")
    page.locator("[data-add=wish]").click()
    form = page.locator("[data-new=wish]")
    add = form.get_by_role("button", name="Put it in")
    assert add.is_disabled()  # a wish without a plant
    form.locator("[data-key$='/plant']").select_option(label="Tomato")
    typed(form.locator("[data-key$='/count']"), "3")
    typed(form.locator("[data-key$='/share']"), "1")
    add.click()
    wrong = form.locator(".input", has=page.locator("[data-key$='/share']")).locator(".wrong")
    assert "there is also a count" in wrong.inner_text()
    typed(form.locator("[data-key$='/share']"), "")
    hill.change(add.click)
    assert hill.key("/wish") == [{"plant": "tomato", "count": 3}]

    page.locator("[data-add=wish]").click()
    form.locator("[data-key$='/plant']").select_option(label="any herb")
    typed(form.locator("[data-key$='/share']"), "10")
    hill.change(form.get_by_role("button", name="Put it in").click)
    assert hill.key("/wish/1") == {"plant": "herb", "share": "10 %"}
    hill.change(page.get_by_role("button", name="Move up: wish 2").click)
    assert [w["plant"] for w in hill.key("/wish")] == ["herb", "tomato"]
    hill.change(page.get_by_role("button", name="Take away: wish 1").click)
    hill.change(page.get_by_role("button", name="Take away: wish 1").click)
    assert hill.key("/wish") is None


def test_a_mix_is_put_together_line_by_line(hill):
    page = hill.page
    opened(page, 5, "mix")
    page.locator("[data-add=mix]").click()
    form = page.locator("[data-new=mix]")
    typed(form.locator("[data-key$='/name']"), "herb mix")
    line = form.get_by_role("button", name="Add a line: Parts")
    for k, (component, share) in enumerate([("topsoil", "60"), ("compost", "30")]):
        line.click()
        form.locator(f"[data-key$='/parts/{k}/0']").select_option(component)
        typed(form.locator(f"[data-key$='/parts/{k}/1']"), share)
    form.get_by_role("button", name="Put it in").click()
    assert "90 %" in form.locator(".wrong").first.inner_text()  # beside its parts
    typed(form.locator("[data-key$='/parts/1/1']"), "40 %")
    hill.change(form.get_by_role("button", name="Put it in").click)
    assert hill.key("/mix/0/parts") == [["topsoil", "60 %"], ["compost", "40 %"]]


def test_ticks_ranges_and_places_are_saved_as_the_job_file_writes_them(hill):
    page = hill.page
    opened(page, 8, "crew")
    hill.change(page.locator("[data-key='/crew/days/Sat']").click)
    assert hill.key("/crew/days") == ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat"]
    opened(page, 3, "soil")
    typed(page.locator("[data-key='/soil/friction/0']"), "28")
    assert hill.key("/soil/friction") is None  # the lowest alone is no range
    hill.change(lambda: typed(page.locator("[data-key='/soil/friction/2']"), "34"))
    assert hill.key("/soil/friction") == ["28 deg", "34 deg"]
    opened(page, 6, "planting")
    page.get_by_role("button", name="Add a line: Entry").click()
    typed(page.locator("[data-key='/planting/entry/0/0']"), "10")
    hill.change(lambda: typed(page.locator("[data-key='/planting/entry/0/1']"), "1 ft"))
    assert hill.key("/planting/entry") == [["10 ft", "1 ft"]]


def test_an_option_of_a_choice_gets_the_box_of_the_key_that_it_changes(hill):
    page = hill.page
    opened(page, 9, "choice")
    page.locator("[data-item='/choice/0']").evaluate("d => { d.open = true; }")
    page.locator("[data-key='/choice/0/options/1/+']").select_option("cell.bond")
    bond = page.locator("[data-key='/choice/0/options/1/cell.bond']")
    hill.change(lambda: bond.select_option("half-offset"))
    assert hill.key("/choice/0/options/1")["cell.bond"] == "half-offset"


def test_a_file_is_brought_beside_the_job_and_named_in_it(hill, tmp_path):
    book = tmp_path / "mine.csv"
    book.write_text("item,unit,price\ncells,each,21.50\n")
    opened(hill.page, 9, "estimate")
    with hill.page.expect_file_chooser() as asked:
        field = hill.page.locator(".input", has=hill.page.locator("[data-key='/estimate/prices']"))
        field.get_by_role("button", name="Choose a file").click()
    asked.value.set_files(book)  # two revisions: the file, and its name in the job
    for _ in range(200):
        if hill.key("/estimate/prices") == "mine.csv":
            break
        hill.page.wait_for_timeout(100)
    assert hill.key("/estimate/prices") == "mine.csv"
    hill.settled()


def test_prices_are_filled_in_line_by_line_and_the_price_follows(hill):
    page, before = hill.page, hill.answer(9)[0]
    opened(page, 9)
    page.get_by_role("button", name="Fill in the prices").click()
    cells = page.locator("[data-kind=material] .entry").first
    cells.wait_for()
    clean(page, "price book")
    price, lowest = (cells.locator(f"[data-key$='/{part}']") for part in ("price", "low"))
    typed(price, "99.5")
    typed(lowest, "120")
    save = page.get_by_role("button", name="Save the prices")
    save.click()
    cells.locator(".wrong").wait_for()  # the lowest above the price, beside its own line
    typed(lowest, "")
    typed(cells.locator("[data-key$='/high']"), "")
    hill.change(save.click)
    assert hill.answer(9)[0] != before
    book = hill.serving.raw(f"/api/jobs/{hill.job}/export")
    text = zipfile.ZipFile(io.BytesIO(book)).read(hill.key("/estimate/prices")).decode()
    assert text.startswith("# INVENTED")  # what stood above the prices stays
    assert ",99.5," in text


def test_numbers_are_typed_and_shown_in_the_person_s_language_and_saved_with_a_point(
    new_page, serving
):
    job = serving.started(example="quarry-garden")  # in metres
    page = new_page(locale="de-DE")
    hill = Hill(page, serving, job).open()
    opened(page, 2, "cell")
    play = page.locator("[data-key='/cell/clip_play']")
    hill.change(lambda: typed(play, ""))
    assert play.get_attribute("placeholder") == "12,7 mm"  # usual: half an inch
    hill.change(lambda: typed(play, "8,5"))
    assert hill.key("/cell/clip_play") == "8.5 mm"
    assert play.input_value() == "8,5 mm"
    typed(play, "1.234")
    field = page.locator(".input", has=play)
    assert "two ways" in field.locator(".wrong").inner_text()
    assert "mm" in field.locator(".help").inner_text()
    assert " in" not in field.locator(".help").inner_text().split("Takes")[1].split("Left")[0]
    assert hill.key("/cell/clip_play") == "8.5 mm"


@pytest.mark.parametrize("width", [1440, 360])
def test_every_form_is_clean_fits_and_shows_nothing_as_the_file_holds_it(
    new_page, serving, bracken, width
):
    page = new_page(width=width, height=800)
    Hill(page, serving, bracken).open()
    for number in range(1, 11):
        if width < 500:
            page.get_by_role("button", name="Ten questions").click()
        opened(page, number)
        for each in ("[data-add]", ".inputs .rowset > button"):  # one empty line everywhere
            page.evaluate("each => document.querySelectorAll(each).forEach(b => b.click())", each)
            page.wait_for_timeout(100)
        page.evaluate(
            "document.querySelectorAll('.chosen details').forEach(d => { d.open = true; })"
        )
        said = page.locator(".inputs").inner_text()
        said += " ".join(page.locator(".inputs input").evaluate_all("all => all.map(i => i.value)"))
        assert not set('[]{}"') & set(said)
        over = page.locator(".chosen").evaluate("c => c.scrollWidth - c.clientWidth")
        assert over <= 0, number
        wide(page, f"question {number}")
        if number in (5, 6, 9):
            clean(page, f"forms of question {number}")
