"""Hydrozones in the planting picture: each cell within the edge line of its own thirst."""

import itertools
import re

import numpy as np
import pytest
import shapely

from hillwright.job.new import write_job
from hillwright.job.read import open_job
from hillwright.plan import work_out
from hillwright.planting.palette import KINDS
from hillwright.sheets.marks import Circle, Line, Words
from hillwright.sheets.plantcodes import plant_codes
from hillwright.sheets.planting import planting_sheets
from hillwright.sheets.plantpictures import _plant, plan_picture
from hillwright.sheets.plantsigns import SAID, outline
from hillwright.sheets.plantview import View, letter
from hillwright.sheets.scale import MARGIN, STRIP, paper_of, standard_scales
from hillwright.sheets.thirst import thirst_marks


def test_every_planted_cell_lies_within_the_line_of_its_thirst_and_no_other(tmp_path):
    plan = work_out(open_job(write_job(tmp_path, "us")[0]))
    planting, view = plan.planting, View(plan)
    marks = thirst_marks(plan, view)
    middles = shapely.points(view.corners.mean(axis=1))
    lines = [m for m in marks if isinstance(m, Line)]
    pens = dict(_pens(lines, planting, middles))
    assert set(pens) == set(np.unique(planting.hydrozone[planting.hydrozone >= 0]).tolist())
    assert len(set(pens.values())) == len(pens)
    for zone, pen in pens.items():
        rings = [shapely.Polygon(m.points) for m in lines if m.pen == pen]
        odd = np.sum([shapely.covers(ring, middles) for ring in rings], axis=0) % 2 == 1
        assert (odd == (planting.hydrozone == zone)).all()
    letters = {m.text for m in marks if isinstance(m, Words)}
    assert letters == {planting.hydrozones[z][0].upper() for z in pens}
    notes = " ".join(planting_sheets(plan)[0].blocks[0].notes)
    assert all(planting.hydrozones[z] in notes for z in pens)


def _pens(lines, planting, middles):
    for line in lines:
        inside = shapely.covers(shapely.Polygon(line.points), middles)
        zones = planting.hydrozone[inside]
        if len(zones := np.unique(zones[zones >= 0])) == 1:
            yield int(zones[0]), line.pen


def test_the_names_of_rows_have_room_at_the_left_of_the_cells(tmp_path):
    plan = work_out(open_job(write_job(tmp_path, "us")[0]))
    view = View(plan, crowns=False)
    assert view.corners[..., 0].min() >= 8.0  # "R10" at 2.5 mm, and a gap
    assert view.corners[..., 0].max() <= view.width - 3.0


@pytest.mark.parametrize("job", ["bracken-bank", "long-meadow", "quarry-garden"])
def test_every_plant_stands_in_its_cell_by_a_sign_of_its_kind_and_letters(worked, job):
    plan = worked(job)
    planting, view, codes = plan.planting, View(plan), plant_codes(plan.planting)
    for i in np.flatnonzero(planting.plant >= 0):
        kind = planting.plants[planting.plant[i]].kind
        marks = _plant(view.corners[i], kind, codes[planting.plant[i]], letter(view))
        cell = shapely.Polygon(view.corners[i])
        for m in marks:
            if isinstance(m, Circle):
                assert cell.contains(shapely.Point(m.centre).buffer(m.radius))
            elif isinstance(m, Words):
                assert m.text == codes[planting.plant[i]]
                assert cell.contains(shapely.Point(m.at))
            else:
                assert cell.contains(shapely.MultiPoint(m.points))
    said = plan_picture(plan, codes).svg.decode()
    kinds = {planting.plants[p].kind for p in planting.plant[planting.plant >= 0]}
    assert all(f">{SAID[k]}<" in said for k in kinds)
    assert ">N<" in said or not plan.opened.job.north_known
    assert not re.search(r"texts? left out", said)


def test_no_two_kinds_have_one_shape():
    shapes = {k: shapely.Polygon(outline(k)) for k in KINDS}
    for one, other in itertools.combinations(KINDS, 2):
        apart = shapes[one].symmetric_difference(shapes[other]).area
        assert apart > 0.2 * max(shapes[one].area, shapes[other].area), (one, other)


@pytest.mark.parametrize("job", ["bracken-bank", "long-meadow", "quarry-garden"])
def test_the_planting_plan_is_true_to_the_scale_that_its_title_block_says(worked, job):
    plan = worked(job)
    whole, _, year = planting_sheets(plan)
    picture = whole.blocks[0]
    for sheet, crowns in ((whole, True), (year, False)):
        view = View(plan, crowns)
        assert view.scale in standard_scales(plan.opened.job.units)
        assert f"1:{view.scale}" in sheet.scale
        drawn = np.linalg.norm(view.corners[:, 1] - view.corners[:, 0], axis=1)
        there = plan.layout.corners[..., :2]
        level = np.linalg.norm(there[:, 1] - there[:, 0], axis=1)
        np.testing.assert_allclose(drawn, 1000 * level / view.scale, atol=0.01)
    # the page sets the picture at the size that it is drawn in
    width = float(re.search(rb'width="([\d.]+)mm"', picture.svg)[1])
    assert width == pytest.approx(picture.width, abs=0.01)
    paper = paper_of(plan.opened.job)
    assert picture.width <= paper.width - 2 * MARGIN
    assert picture.height <= paper.height - 2 * MARGIN - STRIP - 24  # heading and notes
