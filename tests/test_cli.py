import json
import subprocess
import sys
from contextlib import nullcontext
from pathlib import Path
from types import ModuleType, SimpleNamespace

import pytest

from hillwright import __version__, cli
from hillwright.answers.model import QUESTIONS, Answer
from hillwright.errors import JobError, Problem
from hillwright.method import Number, Working

ROOT = Path(__file__).parents[1]
EXAMPLES = sorted((ROOT / "examples").glob("*/job.toml"))
HEAVY = ("numpy", "scipy", "shapely", "pydantic", "pint", "pyproj", "rasterio", "ezdxf", "typst")


def answers(first="with measures"):
    told = [Answer(n, q, "Not worked out.", "not yet") for n, q in enumerate(QUESTIONS, 1)]
    told[0] = Answer(
        1,
        QUESTIONS[0],
        "Mean slope 38.0° (78 %, 1.28H:1V).",
        first,
        ("Faces south.", "  spot 1: a dip"),
        ("terrain.slope.mean",),
        "Ask a licensed engineer before anyone orders a cell.",
    )
    told[1] = Answer(2, QUESTIONS[1], "40 whole cells in 5 rows. " * 6, "clear")
    return tuple(told)


WORKINGS = {
    "terrain.slope.mean": Working(
        "terrain.slope.mean",
        "Mean slope",
        "b = atan(rise / run)",
        (Number("rise", 3.048, "m"), Number("run", 6.096, "m")),
        Number("slope", 0.4636476090008061, "rad"),
        "exact geometry",
        "over the outline",
    ),
    "terrain.error": Working(
        "terrain.error", "Error", "-", (), Number("rmse", float("nan"), "m"), "cross-validated"
    ),
}


def fake_plan(path, first="with measures", units="us"):
    job = SimpleNamespace(units=units, site=SimpleNamespace(name="Larch Bank", address="12 Mill"))
    opened = SimpleNamespace(path=path, job=job)
    told, warned = answers(first), ("2 points lie outside the outline.",)
    return SimpleNamespace(opened=opened, job=job, answers=told, workings=WORKINGS, warnings=warned)


@pytest.fixture
def job(tmp_path, monkeypatch):
    """A job whose rooms are played by stand-ins; ``plays`` says how they behave."""
    path = tmp_path / "bank.toml"
    plays = SimpleNamespace(path=path, first="with measures", fault=None, wrote=None, units="us")

    def module(name, **contents):
        made = ModuleType(name)
        made.__dict__.update(contents)
        monkeypatch.setitem(sys.modules, name, made)

    def work_out(opened, memo=None, progress=None, today=None):
        if plays.fault:
            raise plays.fault
        if progress:
            progress("ground", 0.0)
        return fake_plan(path, plays.first, plays.units)

    def write_sheets(plan, folder, progress=None, helpers=()):
        plays.wrote = folder
        return (folder / "set-out.pdf", folder / "stakes.csv")

    def write_job(folder, system):
        plays.wrote = (folder, system)
        return (folder / "job.toml",)

    module("hillwright.job.read", open_job=lambda given: SimpleNamespace(path=given))
    module("hillwright.plan", work_out=work_out)
    module("hillwright.sheets.write", write_sheets=write_sheets)
    module("hillwright.sheets.helpers", standing_by=nullcontext)
    module("hillwright.job.new", write_job=write_job)
    return plays


def run(capsys, *arguments):
    code = cli.main([str(a) for a in arguments])
    found = capsys.readouterr()
    return code, found.out, found.err


# --- light to open


def loaded_by(*arguments):
    code = (
        "import sys; from hillwright.cli import main; "
        f"main({list(arguments)!r}); print('\\n'.join(sys.modules), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(done.stderr.split()), done.stdout


@pytest.mark.parametrize("arguments", [("--help",), ("--version",), ("plan", "--help")])
def test_help_and_version_load_nothing_heavy(arguments):
    modules, printed = loaded_by(*arguments)
    assert printed.startswith(("Usage: hillwright", "hillwright "))
    heavy = {*HEAVY, "rich", "hillwright.units", "hillwright.plan", "hillwright.job"}
    # typer looks for pydantic's types by itself as soon as it builds one command's parameters
    assert not modules & (heavy - {"pydantic"} if arguments[0] == "plan" else heavy)


def test_the_module_runs_like_the_command():
    done = subprocess.run(
        [sys.executable, "-m", "hillwright", "--version"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout == f"hillwright {__version__}\n"


def test_with_nothing_asked_the_help_is_shown(capsys):
    code, out, _ = run(capsys)
    assert code == 0
    for command in ("new", "plan", "why", "sheets", "verify", "methods"):
        assert f"\n  {command} " in out


# --- plan


def test_the_ten_questions_are_answered_within_80_columns(capsys, job):
    code, out, err = run(capsys, "plan", job.path)
    assert (code, err) == (0, "")
    assert out.startswith("Larch Bank, 12 Mill\n")
    flat = " ".join(out.split())
    for number, question in enumerate(QUESTIONS, 1):
        assert f"{number}. {question}" in flat
    assert "Caution: Ask a licensed engineer" in flat
    assert "2 points lie outside the outline." in flat
    assert "      spot 1: a dip" in out
    assert max(len(line) for line in out.splitlines()) <= 80


def test_a_stop_comes_before_anything_else(capsys, job):
    job.first = "stop"
    code, out, _ = run(capsys, "plan", job.path)
    assert code == 0
    assert out.startswith(f"STOP. {QUESTIONS[0]}")
    assert out.index("Ask a licensed engineer") < out.index("Larch Bank")


def test_a_plan_as_json_holds_the_answers_and_every_figure(capsys, job):
    code, out, _ = run(capsys, "plan", job.path, "--json")
    found = json.loads(out)
    assert code == 0
    assert [a["number"] for a in found["answers"]] == list(range(1, 11))
    assert found["verdict"] == "with measures"
    assert found["warnings"] == ["2 points lie outside the outline."]
    assert found["figures"]["terrain.slope.mean"] == {
        "value": pytest.approx(0.46365, abs=1e-5),
        "unit": "rad",
        "shown": "26.6°",
    }
    assert found["figures"]["terrain.error"]["value"] is None  # JSON has no sign for "unknown"


def test_nothing_tells_of_progress_where_there_is_no_terminal(capsys, job):
    assert run(capsys, "plan", job.path)[2] == ""


def test_progress_is_told_on_a_terminal_and_not_among_the_results(capsys, job, monkeypatch):
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.setenv("FORCE_COLOR", "1")
    code, out, err = run(capsys, "plan", job.path)
    assert code == 0
    assert "working it out" in err
    assert "working it out" not in out


# --- why


def test_without_a_figure_all_of_them_are_listed(capsys, job):
    code, out, _ = run(capsys, "why", job.path)
    assert code == 0
    assert out == "terrain.slope.mean  26.6°\nterrain.error       unknown\n"


@pytest.mark.parametrize(("units", "rise"), [("us", "10.00 ft"), ("metric", "3.048 m")])
def test_a_working_shows_equation_numbers_result_and_source(capsys, job, units, rise):
    job.units = units
    code, out, _ = run(capsys, "why", job.path, "terrain.slope.mean")
    assert code == 0
    for part in ("Mean slope", "b = atan(rise / run)", f"rise    {rise}", "slope = 26.6°"):
        assert part in out
    assert "exact geometry" in out
    assert "over the outline" in out


def test_a_working_as_json_holds_si_values_units_and_what_is_shown(capsys, job):
    found = json.loads(run(capsys, "why", job.path, "terrain.slope.mean", "--json")[1])
    rise = {"name": "rise", "value": 3.048, "unit": "m", "shown": "10.00 ft", "symbol": ""}
    assert found["given"][0] == rise
    assert found["source"] == "exact geometry"
    assert "terrain.error" in json.loads(run(capsys, "why", job.path, "--json")[1])["figures"]


def test_a_figure_that_nobody_knows_gets_the_nearest_one(capsys, job):
    code, out, err = run(capsys, "why", job.path, "slope.meen")
    assert (code, out) == (2, "")
    assert "slope.meen" in err
    assert "did you mean terrain.slope.mean?" in err


# --- sheets, new


def test_sheets_go_beside_the_job_unless_told_otherwise(capsys, job, tmp_path):
    code, out, _ = run(capsys, "sheets", job.path)
    folder = tmp_path / "bank sheets"
    assert (code, job.wrote) == (0, folder)
    assert out.splitlines() == [str(folder / "set-out.pdf"), str(folder / "stakes.csv")]
    run(capsys, "sheets", job.path, "--out", tmp_path / "x")
    assert job.wrote == tmp_path / "x"
    found = json.loads(run(capsys, "sheets", job.path, "--json")[1])
    assert found["files"][0] == str(folder / "set-out.pdf")


def test_a_new_job_is_written_in_the_units_asked_for(capsys, job, tmp_path):
    code, out, _ = run(capsys, "new", tmp_path, "--units", "metric")
    assert (code, job.wrote) == (0, (tmp_path, "metric"))
    assert out == f"{tmp_path / 'job.toml'}\n"
    found = json.loads(run(capsys, "new", tmp_path, "--json")[1])
    assert (job.wrote[1], found) == ("us", {"files": [str(tmp_path / "job.toml")]})


# --- what goes wrong

PROBLEMS = [
    Problem("job.toml line 3: cell.run", "3 has no unit", 'write "18 in"'),
    Problem("job.toml line 9: sele", "is not a key", "did you mean cell?"),
]


def test_every_problem_is_told_by_where_what_and_right(capsys, job):
    job.fault = JobError.all(PROBLEMS)
    code, out, err = run(capsys, "plan", job.path)
    assert (code, out) == (2, "")
    assert err == (
        "hillwright: 2 problems\n"
        '  job.toml line 3: cell.run\n      3 has no unit\n      -> write "18 in"\n'
        "  job.toml line 9: sele\n      is not a key\n      -> did you mean cell?\n"
    )


@pytest.mark.parametrize(
    ("problems", "warnings", "head"),
    [
        (1, 0, "a problem"),
        (1, 1, "a problem and a warning"),
        (2, 4, "2 problems and 4 warnings"),
    ],
)
def test_what_the_ground_warned_of_is_not_counted_as_a_problem(
    capsys, job, problems, warnings, head
):
    doubt = Problem("warning", "few points", "look at it first")
    job.fault = JobError.all([*(PROBLEMS * 2)[:problems], *[doubt] * warnings])
    assert run(capsys, "plan", job.path)[2].startswith(f"hillwright: {head}\n")


def test_problems_as_json_are_one_document_on_standard_output(capsys, job):
    job.fault = JobError.all(PROBLEMS)
    code, out, err = run(capsys, "plan", job.path, "--json")
    assert (code, err) == (2, "")
    assert json.loads(out) == {
        "problems": [{"where": p.where, "what": p.what, "right": p.right} for p in PROBLEMS]
    }


@pytest.mark.parametrize(
    ("arguments", "what"),
    [
        (("pln", "x"), "Did you mean 'plan'"),
        (("plan",), "Missing argument 'JOB'"),
        (("plan", "x", "--jsn"), "--jsn"),
        (("new", "x", "--units", "imperial"), "imperial"),
        (("verify", "--cases"), "--cases"),
    ],
)
def test_a_command_line_that_is_not_right_is_told_like_any_problem(capsys, arguments, what):
    code, out, err = run(capsys, *arguments)
    assert (code, out) == (2, "")
    assert what in err
    assert "--help` says how it is used" in err
    assert json.loads(run(capsys, *arguments, "--json")[1])["problems"]


def test_a_fault_of_the_program_says_so_without_a_traceback(capsys, job, monkeypatch):
    monkeypatch.delenv("HILLWRIGHT_DEBUG", raising=False)
    job.fault = ZeroDivisionError("by zero")
    code, out, err = run(capsys, "plan", job.path)
    assert (code, out) == (70, "")
    assert "a fault of the program, not of your job (ZeroDivisionError: by zero)" in err
    assert "report it" in err
    assert "Traceback" not in err
    monkeypatch.setenv("HILLWRIGHT_DEBUG", "1")
    assert "Traceback" in run(capsys, "plan", job.path)[2]


def test_an_interrupt_ends_quietly(capsys, job):
    job.fault = KeyboardInterrupt()
    assert run(capsys, "plan", job.path) == (130, "", "")


def test_a_reader_that_has_seen_enough_is_no_fault():
    command = f"{sys.executable} -m hillwright methods | head -n 1"
    done = subprocess.run(["sh", "-c", command], capture_output=True, text=True, check=True)
    assert done.stdout.count("\n") == 1
    assert done.stderr == ""


# --- methods and verify


def test_methods_are_listed_told_in_full_and_printed_as_the_page(capsys):
    code, out, _ = run(capsys, "methods")
    assert code == 0
    assert "\nlayout.two_tapes  " in out
    assert max(len(line) for line in out.splitlines() if "http" not in line) <= 100
    one = run(capsys, "methods", "layout.two_tapes")[1]
    for part in ("equation", "takes", "from_a", "[m]", "gives", "point", "source"):
        assert part in one
    data = json.loads(run(capsys, "methods", "layout.two_tapes", "--json")[1])
    assert {i["name"] for i in data["inputs"]} >= {"a", "b", "from_a", "from_b"}
    assert all({"unit", "shape"} <= i.keys() for i in data["inputs"])
    assert len(json.loads(run(capsys, "methods", "--json")[1])["methods"]) > 50
    assert run(capsys, "methods", "--markdown")[1].startswith("# Methods and their sources\n")


def test_a_method_that_nobody_knows_gets_the_nearest_one(capsys):
    code, _, err = run(capsys, "methods", "layout.tow_tapes")
    assert code == 2
    assert "did you mean layout.two_tapes" in err


@pytest.fixture
def cases(capsys, tmp_path):
    form = run(capsys, "verify", "--form")[1]
    good, bad, broken = (tmp_path / f"{n}.toml" for n in ("good", "bad", "broken"))
    good.write_text(form, encoding="utf-8")
    bad.write_text(form.replace("5.562", "5.571"), encoding="utf-8")
    broken.write_text(form.replace("layout.two_tapes", "layout.tow_tapes"), encoding="utf-8")
    return SimpleNamespace(good=good, bad=bad, broken=broken)


def test_a_file_of_cases_is_run_instead_of_the_shipped_ones(capsys, cases):
    code, out, _ = run(capsys, "verify", "--cases", cases.good)
    assert code == 0
    assert "exact geometry [memory]" in out
    assert out.endswith("1 check, 1 figure: 1 passed\n")
    assert max(len(line) for line in out.splitlines()) <= 100


def test_a_check_that_fails_shows_its_difference_and_ends_in_1(capsys, cases):
    code, out, _ = run(capsys, "verify", "--cases", cases.bad, "--cases", cases.good)
    assert code == 1
    (line,) = (line for line in out.splitlines() if line.startswith("FAIL"))
    assert line.split()[:4] == ["FAIL", "point[1]", "of", "2"]
    assert "-0.009 " in line
    assert out.endswith("2 checks, 2 figures: 1 passed, 1 FAILED\n")


def test_results_as_json_hold_all_that_is_known_of_a_check(capsys, cases):
    code, out, _ = run(capsys, "verify", "--cases", cases.bad, "--json")
    found = json.loads(out)
    assert (code, found["passed"], found["failed"]) == (1, 0, 1)
    check = found["checks"][0]
    assert {"id", "file", "method", "source", "status", "seen", "passed"} <= check.keys()
    figure = check["figures"][0]
    assert {"expected", "got", "difference", "tolerance", "unit", "passed"} <= figure.keys()


def test_a_file_that_is_not_in_the_form_is_told_by_check_and_key(capsys, cases):
    code, out, err = run(capsys, "verify", "--cases", cases.broken)
    assert (code, out) == (2, "")
    assert "broken.toml: check two-tapes-level-ground: method" in err
    assert "did you mean layout.two_tapes" in err


def test_a_check_that_cannot_be_read_does_not_keep_the_others_from_running(capsys, cases):
    good, broken = (p.read_text(encoding="utf-8") for p in (cases.good, cases.broken))
    mixed = cases.good.with_name("mixed.toml")
    mixed.write_text(broken + good.replace('"two-tapes-', '"again-two-tapes-'), encoding="utf-8")
    code, out, err = run(capsys, "verify", "--cases", mixed)
    assert code == 1
    assert out.endswith("1 check, 1 figure: 1 passed, 1 NOT RUN\n")
    assert "mixed.toml: check two-tapes-level-ground: method" in err
    data = json.loads(run(capsys, "verify", "--cases", mixed, "--json")[1])
    assert (data["passed"], data["failed"], len(data["problems"])) == (1, 0, 1)


# --- the jobs that ship as examples


@pytest.mark.skipif(not EXAMPLES, reason="this checkout has no examples")
@pytest.mark.parametrize("path", EXAMPLES, ids=[p.parent.name for p in EXAMPLES])
def test_an_example_is_answered_and_every_figure_says_why(capsys, path, monkeypatch):
    from hillwright import plan
    from hillwright.job.read import open_job

    once = plan.work_out(open_job(path))  # the rest is about what is said of it
    monkeypatch.setattr(plan, "work_out", lambda opened, progress=None, today=None: once)
    code, out, _ = run(capsys, "plan", path)
    assert code == 0
    assert max(len(line) for line in out.splitlines()) <= 80
    found = json.loads(run(capsys, "plan", path, "--json")[1])
    assert found["verdict"] in ("stop", "with measures", "clear")
    for answer in found["answers"]:
        for figure in answer["figures"]:
            assert figure in found["figures"], "an answer names a figure that cannot be asked why"
    for figure, value in found["figures"].items():
        code, out, _ = run(capsys, "why", path, figure)
        assert code == 0
        assert value["shown"] in out
        assert value["unit"] != "any", f"{figure} has no unit"


@pytest.mark.skipif(not EXAMPLES, reason="this checkout has no examples")
def test_the_demo_writes_its_sheets(capsys, tmp_path):
    demo = ROOT / "examples" / "bracken-bank" / "job.toml"
    code, out, err = run(capsys, "sheets", demo, "--out", tmp_path / "out")
    assert code == 0, err
    assert out
    assert all(Path(line).is_file() for line in out.splitlines())
