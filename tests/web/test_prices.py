"""The price book on the page: what the plan needs, saved as the price book's own file."""

import io
import zipfile

from hillwright.job.prices import parse


def book(client, job):
    told = client.get(f"/api/jobs/{job}/prices")
    assert told.status_code == 200, told.text
    return told.json()


def saved_file(client, job, name):
    content = client.get(f"/api/jobs/{job}/export").content
    return zipfile.ZipFile(io.BytesIO(content)).read(name).decode()


def test_a_job_without_prices_gets_a_book_of_all_that_it_needs(client):
    job = client.start()
    base = client.stands(job)["revision"]
    told = book(client, job)
    rows = told["rows"]
    assert {r["kind"] for r in rows} >= {"material", "labour", "delivery"}
    name = told["file"]
    k = next(k for k, r in enumerate(rows) if r["kind"] == "material")
    rows[k]["price"] = "12.50"
    made = client.post(f"/api/jobs/{job}/prices", json={"base": base, "rows": rows})
    assert made.status_code == 200, made.text
    state = client.get(f"/api/jobs/{job}").json()
    assert state["job"]["estimate"]["prices"] == name
    read = parse(saved_file(client, job, name), name)
    assert [str(r.likely) for r in read.known().rows if r.item == rows[k]["item"]] == ["12.50"]


def test_a_row_that_is_wrong_is_told_by_its_line_and_nothing_is_saved(client):
    job = client.start()
    base = client.stands(job)["revision"]
    rows = book(client, job)["rows"]
    rows[1]["price"] = "twelve"
    answer = client.post(f"/api/jobs/{job}/prices", json={"base": base, "rows": rows})
    assert answer.status_code == 422
    assert any(p["where"].endswith(" line 3") for p in answer.json()["problems"])
    assert client.get(f"/api/jobs/{job}").json()["revision"] == base


def test_prices_of_an_older_revision_are_not_saved_over_newer_changes(client):
    job = client.start()
    base = client.stands(job)["revision"]
    rows = book(client, job)["rows"]
    step = {"op": "add", "path": "/site/notes", "value": "mind the gate"}
    assert client.edit(job, base, step).status_code == 200
    answer = client.post(f"/api/jobs/{job}/prices", json={"base": base, "rows": rows})
    assert answer.status_code == 409
