"""The planting in the drawing and the map: as many plants, walking cells and zones as planned."""

import ezdxf
import numpy as np
import pyogrio
import pytest

from hillwright.job.new import write_job
from hillwright.job.read import open_job
from hillwright.plan import work_out
from hillwright.planting.model import PLANTED, WALKING
from hillwright.sheets.plantcodes import plant_codes
from hillwright.sheets.readers.files import files


@pytest.fixture(scope="module")
def bank(tmp_path_factory):
    return work_out(open_job(write_job(tmp_path_factory.mktemp("bank"), "us")[0]))


def test_the_drawing_holds_every_walking_cell_and_every_plant_on_layers_of_their_own(
    bank, tmp_path
):
    document = next(d for d in files(bank) if d.name == "set-out.dxf")
    document.write(bank, tmp_path / "a.dxf", "F1")
    drawing = ezdxf.readfile(tmp_path / "a.dxf")
    assert not drawing.audit().errors
    space, planting = drawing.modelspace(), bank.planting
    by_layer = {
        name: [e for e in space if e.dxf.layer == name]
        for name in ("WALKING", "PLANTS", "CROWNS", "HYDROZONES")
    }
    assert len(by_layer["WALKING"]) == planting.walking > 0
    words = [e for e in by_layer["PLANTS"] if e.dxftype() == "TEXT"]
    codes = plant_codes(planting)
    assert sorted(e.dxf.text for e in words) == sorted(codes[g.plant] for g in planting.groups)
    # as large as every other lettering of the drawing
    numbers = [e.dxf.height for e in space if e.dxf.layer == "CELL-NUMBERS"]
    assert {round(e.dxf.height, 6) for e in words} == {round(min(numbers), 6)}
    assert len(by_layer["PLANTS"]) >= 2 * len(planting.groups)  # letters, and a sign
    wide = sum(planting.plants[g.plant].canopy for g in planting.groups)
    assert len(by_layer["CROWNS"]) == wide
    zones = {e.dxf.text for e in by_layer["HYDROZONES"] if e.dxftype() == "TEXT"}
    used = np.unique(planting.hydrozone[planting.hydrozone >= 0])
    assert zones == {planting.hydrozones[z][0].upper() for z in used}


def test_the_map_holds_each_cell_s_use_and_each_plant(bank, tmp_path):
    document = next(d for d in files(bank) if d.name == "set-out.gpkg")
    document.write(bank, tmp_path / "a.gpkg", "F1")
    planting = bank.planting
    meta, _, shapes, fields = pyogrio.raw.read(tmp_path / "a.gpkg", layer="planting_cells")
    cells = dict(zip(meta["fields"], fields, strict=True))
    assert len(shapes) == len(planting.use)
    assert (cells["use"] == "walking").sum() == planting.walking
    planted = planting.use == PLANTED
    assert ((cells["plant"] != "") == planted).all()
    assert ((cells["water"] != "") == planted).all()
    assert not (planting.use[cells["plant"] != ""] == WALKING).any()
    meta, _, shapes, fields = pyogrio.raw.read(tmp_path / "a.gpkg", layer="plants")
    plants = dict(zip(meta["fields"], fields, strict=True))
    assert plants["plants"].sum() == planting.count.sum()
    assert plants["cells"].sum() == planted.sum()
