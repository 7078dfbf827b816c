"""Opening a job: whatever is wrong is told with its line, its key and what would be right."""

from __future__ import annotations

import os

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from hillwright.errors import JobError
from hillwright.job.new import write_job
from hillwright.job.read import open_job

GOOD = """\
units = "us"
[survey]
kind = "points"
file = "points.csv"
[cell]
width = "24 in"
max_bend = "25 deg"
edge_pieces = true
clips_per_edge = 2
[layout]
max_tilt = "10:1"
keep = [["1 ft", "2 ft"], ["3 ft", "4 ft"]]
[[exclusion]]
name = "oak"
centre = ["1 ft", "2 ft"]
radius = "3 ft"
"""


@pytest.mark.parametrize(
    ("text", "said"),
    [
        # no unit, wrong unit, wrong kind of value
        (
            "[cell]\nwidth = 3",
            'hill.toml line 2: cell.width: 3 has no unit; write "3 in", "3 ft" or "3 m"',
        ),
        (
            "[cell]\n\nwidth = '18'",
            "hill.toml line 3: cell.width: '18' has no unit; "
            'write "18 in", "18 ft" or "18 m"',
        ),
        (
            'cell.width = "3 kg"',
            'hill.toml line 1: cell.width: "3 kg" is not a length; '
            'write "18 in", "1.5 ft" or "0.46 m"',
        ),
        (
            'cell = { name = "a",  width = "18 inche" }',
            "hill.toml line 1: cell.width: \"18 inche\": 'inche' is not a unit; "
            'did you mean "18 inches"?',
        ),
        (
            "[cell]\nmax_bend = 25",
            'hill.toml line 2: cell.max_bend: 25 has no unit; write "25 deg"',
        ),
        (
            "[layout]\nmax_tilt = 0.1",
            'hill.toml line 2: layout.max_tilt: 0.1 has no unit; write "0.1 deg" or "0.1 %"',
        ),
        (
            "[cell]\nwidth = true",
            'hill.toml line 2: cell.width: true is not a length; write "18 in", "18 ft" or "18 m"',
        ),
        (
            "[cell]\nwidth = [\n1 ]",
            "hill.toml line 2: cell.width: [ 1 ] is not a length; "
            'write "18 in", "18 ft" or "18 m"',
        ),
        (
            '[cell]\nedge_pieces = "yes"',
            'hill.toml line 2: cell.edge_pieces: "yes" is neither true nor false; '
            "write true or false, without quotes",
        ),
        (
            "[cell]\nclips_per_edge = 2.5",
            "hill.toml line 2: cell.clips_per_edge: 2.5 is not a whole number; "
            "write a whole number without quotes",
        ),
        (
            "[site]\nname = 12",
            'hill.toml line 2: site.name: 12 is not text; put it in quotes: "12"',
        ),
        # unknown words and keys
        (
            'units = "metrik"',
            'hill.toml line 1: units: "metrik" is not known here; '
            'did you mean "metric"? (it takes "us" or "metric")',
        ),
        (
            '[cell]\nbond = "half"',
            'hill.toml line 2: cell.bond: "half" is not known here; '
            'did you mean "half-offset"? (it takes "stacked" or "half-offset")',
        ),
        (
            '[cell]\nwidht = "18 in"',
            'hill.toml line 2: cell.widht: unknown key "widht"; did you mean "width"?',
        ),
        (
            '[layout]\ndepth = "8 in"',
            'hill.toml line 2: layout.depth: unknown key "depth"; '
            '"depth" belongs in [cell] or [soil]',
        ),
        (
            '[Cells]\nwidth = "18 in"',
            'hill.toml line 1: Cells: unknown section "Cells"; did you mean [cell]?',
        ),
        (
            'width = "18 in"',
            'hill.toml line 1: width: unknown key "width"; "width" belongs in [cell]',
        ),
        (
            '[grading]\n"zz q" = 1',
            'hill.toml line 2: grading."zz q": unknown key "zz q"; '
            "take it out; [grading] takes smooth",
        ),
        # places
        (
            '[layout]\nfixed_cell = ["1 ft"]',
            'hill.toml line 2: layout.fixed_cell: ["1 ft"] is not a place; '
            'write two lengths, as in ["12 ft", "20 ft"]',
        ),
        (
            '[layout]\nkeep = [\n ["1 ft", "2 ft"],\n ["1 ft", "2 ft", "3 ft"],\n]',
            'hill.toml line 4: layout.keep[2]: ["1 ft", "2 ft", "3 ft"] is not a place; '
            'write two lengths, as in ["12 ft", "20 ft"]',
        ),
        (
            '[layout]\nkeep = [\n ["1 ft",\n 2],\n]',
            'hill.toml line 4: layout.keep[1][2]: 2 has no unit; write "2 in", "2 ft" or "2 m"',
        ),
        (
            '[layout]\nkeep = "here"',
            'hill.toml line 2: layout.keep: "here" is not a list of places; '
            'write a list of places, as in [["0 ft", "0 ft"], ["12 ft", "0 ft"]]',
        ),
        # tables
        (
            '[[cell]]\nwidth = "18 in"',
            "hill.toml line 1: cell: a list of tables where one table should be; "
            "write [cell] and its keys below it",
        ),
        ("cell = 3", "hill.toml line 1: cell: 3 where one table should be; "
         "write [cell] and its keys below it"),
        (
            '[exclusion]\nname = "oak"',
            "hill.toml line 1: exclusion: a table where tables should be; "
            "write [[exclusion]], keys below it",
        ),
        (
            '[[exclusion]]\nname = "a"\ncentre = ["1 ft", "1 ft"]\nradius = "1 ft"\n'
            '[[exclusion]]\ncentre = ["1 ft", "1 ft"]\nradius = "1 ft"',
            'hill.toml line 5: exclusion[2].name: is missing; add name = "oak", or what it is',
        ),
    ],
)  # fmt: skip
def test_one_problem_is_told_with_its_line_its_key_and_the_right_thing(wrong, text, said):
    assert wrong(text) == [said]


@pytest.mark.parametrize(
    ("text", "us", "metric"),
    [
        ('width = "-8 in"', '"2 in" to "10 ft"', '"50.8 mm" to "3.05 m"'),
        ('run = "0 m"', '"2 in" to "10 ft"', '"50.8 mm" to "3.05 m"'),
        ('depth = "18 ft"', '"1 in" to "48 in"', '"25.4 mm" to "1,220 mm"'),
        ('mass = "0 lb"', '"0.1 lb" to "1,000 lb"', '"0.0454 kg" to "454 kg"'),
    ],
)
def test_limits_are_told_in_the_units_of_the_job(wrong, text, us, metric):
    value = text.split(" = ")[1]
    for system, limits in (("us", us), ("metric", metric)):
        (said,) = wrong(f'units = "{system}"\n[cell]\n{text}')
        assert f"{value} makes no sense here; write from {limits}" in said


def test_angles_beyond_upright_are_refused(wrong):
    (said,) = wrong('[cell]\nmax_bend = "95 deg"')
    assert 'line 2: cell.max_bend: "95 deg" makes no sense here' in said


def test_all_problems_of_a_file_are_told_together_in_the_order_of_its_lines(wrong):
    said = wrong(
        '[cell]\nwidth = 3\ndepth = "8 in"\npass_height = "9 in"\n[layout]\ntop = "flat"\n'
        '[outline]\nfile = "outlin.geojson"',
        survey='[survey]\nkind = "points"\nfile = "point.csv"\nunit = "fet"\n',
    )
    assert [s.split(":")[0] for s in said] == [f"hill.toml line {n}" for n in (2, 4, 6, 8, 11, 12)]
    assert [s.split(":")[1].strip() for s in said] == [
        "cell.width",
        "cell.pass_height",  # looked for, although another key of the section cannot be read
        "layout.top",
        "outline.file",
        "survey.file",
        "survey.unit",
    ]
    assert "'points.csv'" in said[4]
    assert 'did you mean "feet"?' in said[5]


@pytest.mark.parametrize(
    "text",
    [
        # a conflict must not be told where it only comes from another problem
        '[cell]\ndepth = "12 inn"\npass_height = "10 in"',
        '[[exclusion]]\nname = "a"\ncentre = ["1 ft", "1 ft"]\nradius = 3',
        '[[exclusion]]\nname = "a"\ncenter = ["1 ft", "1 ft"]\nradius = "3 ft"',
        '[base_line]\nstart = ["1 ft", "1 ft"]\nend = ["1 ft"]',
        '[base_line]\nstart = ["1 ft", "1 ft"]\nends = ["1 ft", "9 ft"]',
    ],
)
def test_one_slip_of_the_pen_is_one_problem(wrong, text):
    assert len(wrong(text)) == 1


def test_a_job_without_a_survey_says_which_section_to_add(wrong):
    assert wrong('[cell]\nwidth = "24 in"', survey="") == [
        'hill.toml: the section [survey] is missing; add [survey] with its "kind" and "file"'
    ]
    assert wrong("", survey="[survey]") == [
        'hill.toml line 2: survey.kind: is missing; add kind = "sections", "points" or "dem"',
        'hill.toml line 2: survey.file: is missing; add file = "sections.csv", '
        "or what your survey is called",
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[cell]\nwidth = 18 in", 'line 2, column 12: 18 in is not in quotes; write "18 in"'),
        ("a = 38°", 'column 7: 38° is not in quotes; write "38°"'),
        ("a = 1.5:1", 'column 8: 1.5:1 is not in quotes; write "1.5:1"'),
        ("a = [12 ft, 2 ft]", 'column 9: 12 ft is not in quotes; write "12 ft"'),
        ("kind = sections", 'column 8: sections is not in quotes; write "sections"'),
        ("trimmed = True", "True is not known; write true or false, in small letters"),
        ('a = "abc', "no closing quotes"),
        ("a = 'abc\n'", "no closing quotes"),
        ("a = 1\na = 2", "line 2, column 6: this key is there twice; keep one of them"),
        ("[cell]\n[cell]", "cell is already there, further up"),
        ("[cell\n", "bracket is not closed"),
        ("[[exclusion]\n", "brackets are not closed"),
        ('a = "C:\\dir"', "a backslash means something else in a text; write / instead"),
        ("a = [1, 2", "a list is not closed, or a comma is missing"),
        ("a = {b=1", "{ is not closed"),
        ("a = 2026-02-31", "this date or time does not exist"),
        ("hello", "there is no = behind the key"),
        ("a = ", "no value that can be read"),
        ("# \x01", "a character that a text file cannot hold"),
        ("a = " + "9" * 5000, "a number too long to read"),
        ("a = " + "[" * 5000, "too deep"),
    ],
)
def test_a_file_that_is_not_toml_says_where_and_why_in_plain_words(wrong, text, said):
    (found,) = wrong(text, survey="")
    assert found.startswith("hill.toml")
    assert said in found


def test_a_file_that_is_not_utf8_names_the_line(wrong):
    (found,) = wrong('units = "us"\n# Böschung\n'.encode("latin-1"))
    assert found.startswith("hill.toml line 2: is not UTF-8 text; save it again")


def test_a_mark_at_the_start_of_the_file_and_dos_lines_do_no_harm(opened):
    job = opened(b"\xef\xbb\xbf" + GOOD.replace("\n", "\r\n").encode())
    assert job.exclusion[0].radius == pytest.approx(0.9144)
    assert job.layout.max_tilt == pytest.approx(0.0997, abs=1e-4)  # atan(1/10)


def test_a_toml_date_is_printed_as_it_stands(opened):
    assert opened("sheets.date = 2026-05-31").sheets.date == "2026-05-31"


def test_a_folder_stands_for_its_job(tmp_path):
    job, _ = write_job(tmp_path, "us")
    (tmp_path / "other.toml").write_text("")
    assert open_job(tmp_path).path == job
    job.rename(tmp_path / "hill.toml")
    with pytest.raises(JobError, match=r"several job files; name one of hill\.toml, other\.toml"):
        open_job(tmp_path)
    (tmp_path / "other.toml").unlink()
    assert open_job(tmp_path).path == tmp_path / "hill.toml"
    (tmp_path / "hill.toml").rename(tmp_path / "pyproject.toml")  # a folder of code has one too
    with pytest.raises(JobError, match="folder without a job file; start one with"):
        open_job(tmp_path)


def test_a_file_that_is_not_there_names_the_nearest(tmp_path):
    write_job(tmp_path, "us")
    for name in ("job", "jbo.toml"):
        with pytest.raises(JobError, match=r'there is no such file; did you mean "job\.toml"\?'):
            open_job(tmp_path / name)
    for path in (tmp_path / "no" / "folder.toml", tmp_path / "\0", tmp_path / ("x" * 400)):
        with pytest.raises(JobError, match='start one with "hillwright new'):
            open_job(path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no such files here")
def test_what_is_neither_file_nor_folder_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "pipe.toml")
    with pytest.raises(JobError, match="there is no such file"):
        open_job(tmp_path / "pipe.toml")


NO_JARGON = (
    "validation",
    "pydantic",
    "Input should",
    "_type",
    "datetime.",
    "NoneType",
    "Traceback",
)
SCRAPS = st.one_of(
    st.sampled_from("[]={}\"',.\n\r\\#3aé"),
    st.sampled_from(["[[", "-1", "nan", "true", "1979-05-27", "0xffff", '"""', '"3 ft"']),
    st.sampled_from(["[cell]", "[[exclusion]]", "width", "name = 1\n"]),
)


@st.composite
def spoilt(draw):
    """A good job text with a few cuts, swaps and scraps in it."""
    text = GOOD
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(text)))
        cut = draw(st.integers(0, 12))
        text = text[:at] + draw(st.one_of(SCRAPS, st.just(""))) + text[at + cut :]
    return text


WRITTEN = ["3", "-1e400", "nan", "0x" + "f" * 5000, "true", '"3 ft"', '""', "1979-05-27"]
WRITTEN += ["07:32:00", '"-1 ft"', '"x"', "'us'", '"9 ft**9"', '"\\u0000"']
VALUE = st.recursive(
    st.sampled_from(WRITTEN),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda v: f"[{', '.join(v)}]"),
        inner.map(lambda v: f"{{ a = {v}, width = {v} }}"),
    ),
    max_leaves=5,
)
KEYS = ["units", "survey", "survey.kind", "survey.file", "survey.unit", "outline.corners", "site.x"]
KEYS += ["outline.file", "cell", "cell.width", "cell.mass", "cell.bond", "cell.clips_per_edge"]
KEYS += ["layout.keep", "layout.fixed_cell", "layout.max_tilt", "exclusion", "sheets.date", "a.b"]
KEYS += [
    "sheets.scale",
    "benchmarks.A",
    "site.name",
    "cell.edge_pieces",
    '"é\\n".b',
    "cell.width.x",
]


@given(
    st.one_of(
        st.binary(max_size=60),
        st.text(max_size=60).map(lambda t: t.encode("utf-8", "replace")),
        spoilt().map(lambda t: t.encode("utf-8", "replace")),
        st.lists(st.tuples(st.sampled_from(KEYS), VALUE), max_size=6).map(
            lambda pairs: "\n".join(f"{k} = {v}" for k, v in pairs).encode()
        ),
    )
)
@example(b"[[survey]]\n[survey.kind]\nx = 1\n[[survey]]")
@example(b'exclusion = [3, {name = 3}, [{}], "x"]')
@example(b"[outline]\ncorners = [[[]]]\n[cell]\nwidth = { width = 1 }")
@settings(
    max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_no_text_makes_opening_fail_otherwise_than_by_a_job_error(tmp_path, text):
    (tmp_path / "points.csv").write_text("1,0,0,0\n")
    (tmp_path / "hill.toml").write_bytes(text)
    try:
        open_job(tmp_path / "hill.toml")
    except JobError as error:
        for problem in error.problems:
            assert problem.where.startswith("hill.toml")
            assert problem.what
            assert problem.right
            assert not any(word in str(problem) for word in NO_JARGON), problem
