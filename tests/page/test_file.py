"""The job file that the service was started with: written from the page, never over the unseen."""

from drive import Hill, Serving
from test_access import clean

from hillwright.job.new import write_job


def test_the_page_writes_its_changes_to_the_file_and_shows_both_where_it_changed(browser, tmp_path):
    file = write_job(tmp_path / "hill", "us")[0]
    with Serving(tmp_path, file) as serving:
        page = browser.new_page(viewport={"width": 1440, "height": 900})
        page.set_default_timeout(60_000)
        page.goto(serving.address)
        job = serving.get("/api/jobs")["jobs"][0]["id"]
        hill = Hill(page, serving, job)
        hill.settled()
        page.locator(".question").nth(1).click()
        hill.change(lambda: hill.set("/cell/width", "26 in"))
        assert 'width = "26 in"' not in file.read_text()
        page.get_by_role("button", name="Save to file").click()
        shown = page.locator(".chosen")
        shown.get_by_role("button", name="Write it to job.toml").wait_for()
        assert "26 in" in shown.inner_text()
        clean(page, "job file")
        shown.get_by_role("button", name="Write it to job.toml").click()
        shown.get_by_text("holds the job as it stands").wait_for()
        text = file.read_text()
        assert 'width = "26 in"' in text
        assert "#" in text  # its comments

        file.write_text(text.replace('width = "26 in"', 'width = "28 in"'))
        page.locator(".question").nth(1).click()
        hill.change(lambda: hill.set("/cell/width", "30 in"))
        page.get_by_role("button", name="Save to file").click()
        shown.get_by_role("button", name="Write over job.toml").wait_for()
        assert "Changed on the disk" in shown.inner_text()
        assert "28 in" in shown.inner_text()
        assert "30 in" in shown.inner_text()
        hill.change(shown.get_by_role("button", name="Read the file in").click)
        assert hill.key("/cell/width") == "28 in"
        assert 'width = "28 in"' in file.read_text()
        hill.change(page.get_by_role("button", name="Undo").click)
        assert hill.key("/cell/width") == "30 in"
        page.close()
