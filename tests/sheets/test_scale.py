"""Paper and scale."""

import pytest

from hillwright.errors import JobError
from hillwright.sheets.plan_sheet import RIM, everything, plan_sheet
from hillwright.sheets.scale import fits, largest_scale, paper_of, papers, scale_text


def test_the_largest_standard_scale_that_fits_is_taken():
    # 9.8 m at 1:50 is 196 mm, at 1:25 it is 392 mm
    assert largest_scale((9.8, 5.0), (300, 200), "metric", 10) == 50
    assert largest_scale((9.8, 5.0), (412, 420), "metric", 10) == 25
    assert largest_scale((9e5, 5.0), (412, 420), "metric", 10) is None
    assert fits((9.8, 5.0), (216.0, 120.0), 50, 10)


@pytest.mark.parametrize(
    ("scale", "system", "said"),
    [
        (48, "us", '1/4" = 1\'-0" (1:48)'),
        (120, "us", "1\" = 10' (1:120)"),
        (84, "us", "1\" = 7' (1:84)"),
        (50, "us", "1:50"),
        (50, "metric", "1:50"),
    ],
)
def test_a_scale_is_said_as_the_trade_says_it(scale, system, said):
    assert scale_text(scale, system) == said


def test_papers_have_their_size():
    # ANSI B is 17 x 11 in, ISO A3 is 420 x 297 mm
    assert papers()["tabloid"].width == pytest.approx(431.8)
    assert (papers()["a3"].width, papers()["a3"].height) == (420, 297)


def test_usual_paper_is_tabloid_in_us_units_and_a3_in_metric(make):
    assert paper_of(make(units="us").opened.job).name == "tabloid"
    assert paper_of(make(units="metric").opened.job).name == "a3"


@pytest.mark.parametrize("paper", ["letter", "a4", "tabloid", "a3", "arch-c", "arch-d", "a2", "a1"])
@pytest.mark.parametrize("bearing", [0.0, 0.7, -2.0])
def test_everything_lies_on_the_paper_with_room_for_labels(make, paper, bearing):
    plan = make(paper=paper, bearing=bearing)
    sheet = plan_sheet(plan)
    placed = sheet.drawing.view.place(everything(plan))
    width, height = sheet.paper.drawing
    assert placed.min() >= RIM - 1e-6
    assert (placed.max(axis=0) <= (width - RIM + 1e-6, height - RIM + 1e-6)).all()


def test_a_scale_that_does_not_fit_is_refused_with_one_that_would(make):
    with pytest.raises(
        JobError, match=r"hill.toml: sheets.scale: 1:10 needs .* tabloid"
    ) as refused:
        plan_sheet(make(scale=10))
    right = refused.value.problems[0].right
    assert "scale = 32 or more" in right
    scale = plan_sheet(make(scale=32)).scale
    assert scale == 32


def test_a_paper_that_no_scale_fits_is_refused(make):
    plan = make(rows=30, columns=3000, paper="letter")
    with pytest.raises(JobError, match=r"sheets.paper: even 1:1200 does not fit"):
        plan_sheet(plan)


def test_the_sheet_is_turned_only_for_a_larger_scale(make):
    assert plan_sheet(make()).turn == 0
    turned = plan_sheet(make(rows=4, columns=30, bearing=1.1))
    assert turned.turn != pytest.approx(-1.1)
