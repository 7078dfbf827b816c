"""Edits: saved or refused, two people at once, undo, names, comparing, taking along."""

import pytest


def replace(path, value):
    return {"op": "replace", "path": path, "value": value}


def test_an_edit_that_makes_no_job_is_refused_in_the_words_of_the_command(client):
    job = client.start()
    told = client.edit(job, 1, replace("/cell/width", "24"))
    assert told.status_code == 422
    problem = told.json()["problems"][0]
    assert "job.toml line" in problem["where"]
    assert "cell.width" in problem["where"]
    assert "has no unit" in problem["what"]
    assert client.get(f"/api/jobs/{job}").json()["revision"] == 1


@pytest.mark.parametrize(
    ("patch", "says"),
    [
        (replace("/cell/colour", "green"), "not in the job"),
        (replace("cell", 1), "does not start with /"),
        ({"op": "add", "path": "/outline", "value": {"file": "../../etc/hosts"}}, "not there"),
        ({"op": "add", "path": "/cell/depth", "value": {"local": [1, 2]}}, "cell.depth"),
        ({"op": "add", "path": "/layout", "value": {"string": [{"local": ["a", 2]}]}}, "no place"),
    ],
)
def test_a_patch_that_cannot_be_made_keeps_nothing(client, patch, says):
    job = client.start()
    told = client.edit(job, 1, patch)
    assert told.status_code == 422
    text = " ".join(" ".join(p.values()) for p in told.json()["problems"])
    assert says in text.replace("is not a place", "no place")
    assert client.get(f"/api/jobs/{job}").json()["revision"] == 1


def test_a_value_of_lists_within_lists_is_refused_in_words(client):
    job = client.start()
    value = []
    for _ in range(900):
        value = [value]
    answer = client.edit(job, 1, {"op": "replace", "path": "/cell/width", "value": value})
    assert answer.status_code == 422
    assert "lists within lists" in answer.text
    assert client.get(f"/api/jobs/{job}").json()["revision"] == 1


def test_edits_of_two_people_are_both_kept_and_each_is_told_of_the_other(client):
    job = client.start()
    client.edit(job, 1, replace("/cell/width", "25 in"), summary="wider cells", by="Ana")
    told = client.edit(job, 1, replace("/cell/run", "20 in"), summary="longer cells", by="Ben")
    assert told.json()["others"] == [{"number": 2, "summary": "wider cells", "by": "Ana"}]
    cell = client.get(f"/api/jobs/{job}").json()["job"]["cell"]
    assert (cell["width"], cell["run"]) == ("25 in", "20 in")


def test_the_same_key_changed_by_two_people_is_told_with_both_values_and_nothing_is_lost(client):
    job = client.start()
    client.edit(job, 1, replace("/cell/width", "25 in"))
    told = client.edit(job, 1, replace("/cell/width", "30 in"))
    assert told.status_code == 409
    (clash,) = told.json()["clashes"]
    assert (clash["mine"], clash["theirs"]) == ("30 in", "25 in")
    assert "kept as revision 3" in told.json()["problems"][0]["what"]
    # the side revision can be opened, and undone
    assert client.post(f"/api/jobs/{job}/open", json={"revision": told.json()["side"]}).is_success
    state = client.get(f"/api/jobs/{job}").json()
    assert state["job"]["cell"]["width"] == "30 in"
    client.post(f"/api/jobs/{job}/undo", json={"base": state["revision"]})
    assert client.get(f"/api/jobs/{job}").json()["job"]["cell"]["width"] == "25 in"


def test_an_edit_that_lost_is_told_so_again_when_it_is_sent_again(client):
    job = client.start()
    client.edit(job, 1, replace("/cell/width", "25 in"))
    first = client.edit(job, 1, replace("/cell/width", "30 in"), id="late")
    again = client.edit(job, 1, replace("/cell/width", "30 in"), id="late")
    assert (first.status_code, again.status_code) == (409, 409)
    assert again.json()["side"] == first.json()["side"]
    assert len(client.get(f"/api/jobs/{job}/revisions").json()["revisions"]) == 3
    # once the other is taken back there is nothing to clash with
    client.post(f"/api/jobs/{job}/undo", json={"base": 2})
    assert client.edit(job, 1, replace("/cell/width", "30 in"), id="late").is_success
    assert client.get(f"/api/jobs/{job}").json()["job"]["cell"]["width"] == "30 in"


def test_an_edit_sent_again_after_a_lost_answer_is_kept_once(client):
    job = client.start()
    first = client.edit(job, 1, replace("/cell/width", "25 in"), id="edit-1").json()
    client.edit(job, 2, replace("/cell/width", "26 in"), id="edit-2")
    again = client.edit(job, 1, replace("/cell/width", "25 in"), id="edit-1").json()
    assert again["revision"] == first["revision"]
    assert client.get(f"/api/jobs/{job}").json()["job"]["cell"]["width"] == "26 in"


def test_the_comments_of_the_job_file_outlive_an_edit(client):
    import io
    import zipfile

    job = client.start()
    client.edit(job, 1, replace("/cell/width", "25 in"))
    body = client.get(f"/api/jobs/{job}/export").content
    with zipfile.ZipFile(io.BytesIO(body)) as archive:
        text = archive.read("job.toml").decode()
    assert 'width = "25 in"' in text
    assert "INVENTED" in text


def test_undo_and_redo_say_what_they_would_take_back(client):
    job = client.start()
    state = client.get(f"/api/jobs/{job}").json()
    assert state["undo"] is None
    assert client.post(f"/api/jobs/{job}/undo", json={}).status_code == 409
    client.edit(job, 1, replace("/cell/width", "25 in"), summary="wider cells")
    assert client.get(f"/api/jobs/{job}").json()["undo"] == "wider cells"
    client.post(f"/api/jobs/{job}/undo", json={"base": 2})
    state = client.get(f"/api/jobs/{job}").json()
    assert (state["revision"], state["redo"]) == (1, "wider cells")
    client.post(f"/api/jobs/{job}/redo", json={"base": 1})
    assert client.get(f"/api/jobs/{job}").json()["revision"] == 2


def test_a_revision_is_named_and_compared(client):
    job = client.start()
    client.edit(job, 1, replace("/cell/width", "25 in"))
    client.post(f"/api/jobs/{job}/name", json={"revision": 1, "name": "as measured"})
    told = client.get(f"/api/jobs/{job}/revisions").json()
    assert told["head"] == 2
    assert [r["name"] for r in told["revisions"]] == [None, "as measured"]
    compared = client.get(f"/api/jobs/{job}/compare", params={"a": 1, "b": 2}).json()
    assert [c["path"] for c in compared["changes"]] == ["/cell/width"]
    assert compared["changes"][0]["after"] == "25 in"


def test_an_archived_job_is_out_of_the_list_and_can_come_back(client):
    job = client.start()
    assert client.delete(f"/api/jobs/{job}").status_code == 204
    ids = [j["id"] for j in client.get("/api/jobs").json()["jobs"]]
    assert job not in ids
    client.post(f"/api/jobs/{job}/restore")
    assert job in [j["id"] for j in client.get("/api/jobs").json()["jobs"]]
