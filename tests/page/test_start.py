"""From nothing to a laid-out hill."""

import time

from drive import Hill

TWO_MINUTES = 120


def test_a_new_person_has_a_laid_out_hill_from_four_tapes_in_under_two_minutes(page, serving):
    start = time.monotonic()
    page.fill("[name=name]", "Test bank")
    for k in range(1, 5):
        page.locator(f"[name=up-{k}]").press_sequentially("16", delay=60)
        page.locator(f"[name=angle-{k}]").press_sequentially("32", delay=60)
    page.get_by_role("button", name="Lay it out").click()
    page.wait_for_url("**/jobs/*")
    hill = Hill(page, serving, page.url.rsplit("/", 1)[1])
    hill.settled()
    assert time.monotonic() - start < TWO_MINUTES
    assert hill.cells() > 50
    assert page.locator("h1").inner_text() == "Test bank"
    assert page.locator(".question").count() == 10
    assert hill.figures(1)["terrain.slope.mean"] == "32.0°"  # as every tape read


def test_a_tape_without_a_number_is_not_sent(page):
    page.fill("[name=up-1]", "16")
    page.get_by_role("button", name="Lay it out").click()
    assert page.locator("[name=angle-1]").evaluate("e => e.validity.valueMissing")
    assert page.url.rstrip("/").count("/") == 2


def test_an_example_opens_with_one_click(page, serving):
    page.locator("button.wide", has_text="Bracken bank").click()
    page.wait_for_url("**/jobs/*")
    assert Hill(page, serving, page.url.rsplit("/", 1)[1]).settled() >= 1


def test_a_survey_that_is_dropped_becomes_a_hill(page, serving):
    sections = "section, chainage, base_height, side, leg, distance, angle, rise, note\n" + "".join(
        f"{k}, {(k - 1) * 6} ft, 0 ft, left, 1, 15 ft, 30 deg, , \n" for k in range(1, 5)
    )
    page.set_input_files(
        "input[type=file]",
        {"name": "bank.csv", "mimeType": "text/csv", "buffer": sections.encode()},
    )
    page.wait_for_url("**/jobs/*")
    hill = Hill(page, serving, page.url.rsplit("/", 1)[1])
    hill.settled()
    assert hill.figures(1)["terrain.slope.mean"] == "30.0°"


def test_a_file_that_falls_beside_the_box_does_not_take_the_place_of_the_page(page):
    page.evaluate("""() => {
      const data = new DataTransfer();
      data.items.add(new File(["a hill, a hill"], "poem.csv", { type: "text/csv" }));
      const how = { bubbles: true, cancelable: true, dataTransfer: data };
      const made = (kind) => new DragEvent(kind, how);
      const heading = document.querySelector("h1");
      heading.dispatchEvent(made("dragover"));
      window.kept = !heading.dispatchEvent(made("drop"));
    }""")
    assert page.evaluate("window.kept") is True
    page.locator(".notice.grave", has_text="poem.csv").wait_for()


def test_a_file_that_is_no_survey_is_told_in_plain_words(page):
    page.set_input_files(
        "input[type=file]",
        {
            "name": "poem.csv",
            "mimeType": "text/csv",
            "buffer": b"a hill, a hill\nmy job for a hill\n",
        },
    )
    notice = page.locator(".notice.grave")
    notice.wait_for()
    assert "poem.csv" in notice.inner_text()
    assert "Right would be" in notice.inner_text()
    assert "Traceback" not in notice.inner_text()
    assert page.url.rstrip("/").count("/") == 2


def test_a_file_that_is_too_large_is_told_before_it_is_sent(page, tmp_path):
    with (tmp_path / "valley.tif").open("wb") as file:
        file.truncate(2_000_000_000)  # no block of it is on the disk
    page.set_input_files("input[type=file]", tmp_path / "valley.tif")
    notice = page.locator(".notice.grave")
    notice.wait_for()
    assert "valley.tif is larger than 64 MB" in notice.inner_text()
    assert page.url.rstrip("/").count("/") == 2


def test_a_hill_is_taken_out_of_the_list_and_put_back(page, serving):
    job = serving.post("/api/jobs", {"example": "bracken-bank"})["id"]
    page.reload()
    link = page.locator(f"a.wide[href='/jobs/{job}']")
    link.locator("xpath=following-sibling::button").click()
    link.wait_for(state="detached")
    notice = page.locator(".notice", has_text="Nothing of it is lost")
    notice.get_by_role("button", name="Put it back").click()
    link.wait_for()
    notice.wait_for(state="detached")


def test_a_hill_that_is_not_there_is_told(page, serving):
    page.goto(f"{serving.base}jobs/0123456789ab")
    notice = page.locator(".notice.grave")
    notice.wait_for()
    assert "0123456789ab" in notice.inner_text()
