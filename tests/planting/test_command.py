"""The commands: a planting is made, kept, taken up again; plants are listed."""

import json

import pytest

from hillwright import cli
from hillwright.job.new import write_job
from hillwright.job.plantsite import kept_path, read_kept
from hillwright.planting import optimise

WISHES = """
[planting]
plants = ["lettuce", "thyme", "yarrow"]

[[wish]]
plant = "lettuce"
share = "40 %"
"""


@pytest.fixture
def job(tmp_path, monkeypatch):
    monkeypatch.setattr(optimise, "MOVES", 400)
    path = write_job(tmp_path, "us")[0]
    text = path.read_text("utf-8").replace("[planting]", "[planting]\n" + WISHES.split("\n")[2])
    path.write_text(text + "\n" + WISHES[WISHES.index("[[wish]]") :], "utf-8")
    return path


def run(capsys, *arguments):
    code = cli.main([str(a) for a in arguments])
    out, err = capsys.readouterr()
    return code, out, err


def test_a_planting_is_kept_beside_the_job_and_used_until_the_job_changes(job, capsys):
    code, out, _ = run(capsys, "planting", job)
    assert code == 0
    assert "Proven:" in out
    assert "HiGHS" not in out
    kept = read_kept(kept_path(job))
    assert {use for _, _, use in kept.use} <= {"lettuce", "thyme", "yarrow", "walking", "open"}
    code, out, _ = run(capsys, "plan", job)
    assert "Proven:" in out
    job.write_text(job.read_text("utf-8").replace("40 %", "80 %"), "utf-8")
    code, out, _ = run(capsys, "plan", job)
    assert code == 0
    assert "quick planting" in out
    assert "another state" in " ".join(out.split())


def test_a_kept_planting_that_cannot_be_read_says_what_to_do(job, capsys):
    kept_path(job).write_text('{"form": 1}', "utf-8")
    code, _, err = run(capsys, "plan", job)
    assert code == 2
    assert "delete it" in err


def test_an_unknown_plant_is_told_with_the_nearest(job, capsys):
    job.write_text(job.read_text("utf-8").replace('plant = "lettuce"', 'plant = "letuce"'), "utf-8")
    code, _, err = run(capsys, "plan", job)
    assert code == 2
    assert "did you mean lettuce" in " ".join(err.split())


def test_plants_are_listed_by_word_and_as_data(capsys):
    code, out, _ = run(capsys, "plants", "herb")
    assert code == 0
    assert "thyme" in out
    assert "tomato" not in out
    code, out, _ = run(capsys, "plants", "tomato", "--json")
    assert json.loads(out)["plants"][0]["botanical"] == "Solanum lycopersicum"
    code, _, err = run(capsys, "plants", "tomatto")
    assert code == 2
    assert "tomato" in err
