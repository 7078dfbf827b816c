"""The set of papers: made with its progress shown, read, downloaded."""

import io
import zipfile

import pytest
from drive import Hill


@pytest.fixture
def quiet(page, serving, bracken):
    return Hill(page, serving, bracken).open()


def test_the_set_is_made_with_its_progress_and_downloaded(quiet):
    page = quiet.page
    page.get_by_role("button", name="Papers", exact=True).click()
    page.get_by_role("button", name="Make the set").click()
    page.locator(".chosen progress").wait_for()
    ready = page.get_by_role("link", name="Download the set")
    ready.or_(page.locator(".notice.grave")).wait_for(timeout=180_000)
    with page.expect_download() as told:
        ready.click()
    with zipfile.ZipFile(io.BytesIO(told.value.path().read_bytes())) as archive:
        names = archive.namelist()
    assert any(name.endswith(".pdf") for name in names)
    listed = page.locator(".files a").evaluate_all("all => all.map(a => a.dataset.name)")
    assert sorted(listed) == sorted(names)
    for link in page.locator(".files a").all()[:3]:
        assert page.request.get(quiet.serving.base.rstrip("/") + link.get_attribute("href")).ok


def test_the_job_is_downloaded_with_its_files(quiet):
    page = quiet.page
    page.get_by_role("button", name="Papers", exact=True).click()
    with page.expect_download() as told:
        page.get_by_role("link", name="Download the job").click()
    with zipfile.ZipFile(io.BytesIO(told.value.path().read_bytes())) as archive:
        assert {"job.toml", "sections.csv"} <= set(archive.namelist())
