"""Hydrozones in the planting picture: each cell within the edge line of its own thirst."""

import numpy as np
import shapely

from hillwright.job.new import write_job
from hillwright.job.read import open_job
from hillwright.plan import work_out
from hillwright.sheets.marks import Line, Words
from hillwright.sheets.planting import planting_sheets
from hillwright.sheets.plantview import View
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
