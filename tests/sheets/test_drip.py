"""The drip sheets and files of a real plan: they agree with the network and with each other."""

import csv
import io
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest

from hillwright.job.model import OpenJob
from hillwright.job.read import open_job
from hillwright.plan import work_out
from hillwright.sheets.blocks import Picture, Table
from hillwright.sheets.drip import drip_sheets, lateral_ends, punching_csv
from hillwright.sheets.gpkg import layers
from hillwright.sheets.readers.files import files
from hillwright.sheets.rows import takeoff_csv
from hillwright.sheets.svg import CAP_MIDDLE
from hillwright.sheets.watersheets import water_sheets

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def bank():
    return work_out(open_job(EXAMPLES / "bracken-bank" / "job.toml"))


def test_every_hole_is_in_the_file_once_and_every_planted_cell_has_one(bank):
    rows = list(csv.DictReader(io.StringIO(punching_csv(bank))))
    assert len(rows) == sum(len(v.punches.node) for v in bank.irrigation.valves)
    cells = {(int(r["row"]), int(r["cell"])) for r in rows}
    layout = bank.layout
    planted = {c for v in bank.irrigation.valves for c in v.plants.tolist()}
    assert cells == {(int(layout.row[c]), int(layout.number[c])) for c in planted}


def test_holes_of_a_lateral_come_in_order_and_stand_apart(bank):
    rows = list(csv.DictReader(io.StringIO(punching_csv(bank))))
    for key in {(r["valve"], r["lateral_row"], r["side"]) for r in rows}:
        at = [
            float(r["hole_at_ft"]) for r in rows if (r["valve"], r["lateral_row"], r["side"]) == key
        ]
        gaps = [b - a for a, b in zip([0.0, *at], at, strict=False)]
        assert min(gaps) > 0.99 * 0.05 / 0.3048


def test_no_tube_is_longer_than_allowed_but_for_the_step_aside(bank):
    longest = bank.job.irrigation.longest_tube
    for v in bank.irrigation.valves:
        assert v.punches.tube.max() <= longest + 0.3


def drawn(plan):
    picture = next(b for b in drip_sheets(plan)[0].blocks if isinstance(b, Picture))
    assert "NaN" not in picture.svg.decode()
    return list(ET.fromstring(picture.svg).iter())


def test_the_plan_is_a_picture_with_every_stake(bank):
    # a filled sign has an edge of its own, and is counted by it
    stakes = [e for e in drawn(bank) if e.get("class") == "emitters" and e.get("stroke") != "none"]
    shown = 1 + len(bank.irrigation.valves)  # in the legend
    assert len(stakes) == shown + sum(len(v.punches.node) for v in bank.irrigation.valves)


def test_valves_are_told_apart_without_colour(bank):
    lines = [e for e in drawn(bank) if e.get("class") == "header" and e.tag.endswith("path")]
    assert len({e.get("stroke-dasharray") for e in lines}) == len(bank.irrigation.valves)
    assert {e.get("fill") for e in drawn(bank)} <= {None, "none", "#000", "#000000", "#ffffff"}
    said = {e.text for e in drawn(bank) if e.tag.endswith("text")}
    for v in bank.irrigation.valves:
        assert {f"V{v.number}", f"A{v.number}"} <= said
        for row in v.carriers:
            assert any(t.startswith(f"V{v.number}-R{row:02d} ") for t in said if t)


# ISO 3098-1: nominal sizes of lettering from 2.5 mm (2.5, 3.5, 5, 7 ...); from memory
def test_no_letter_of_the_plan_is_lower_than_the_least_of_the_standard(bank):
    sizes = [float(e.get("font-size")) for e in drawn(bank) if e.tag.endswith("text")]
    assert min(sizes) * 2 * CAP_MIDDLE >= 2.5


def test_headers_in_one_place_are_drawn_side_by_side(bank):
    lines = [e for e in drawn(bank) if e.get("class") == "header" and e.tag.endswith("path")]
    starts = {e.get("d").split("L")[0] for e in lines}
    assert len(starts) >= len(bank.irrigation.valves)


def test_the_plan_says_its_scale_in_the_title_block_and_metric_names_no_inch():
    plan = work_out(open_job(EXAMPLES / "quarry-garden" / "job.toml"))
    assert drip_sheets(plan)[0].scale.startswith("1:")
    said = " ".join(e.text or "" for e in drawn(plan) if e.tag.endswith("text"))
    assert " in bore" not in said
    assert "psi" not in said


def test_us_sheets_name_no_millimetre(bank):
    said = " ".join(e.text or "" for e in drawn(bank) if e.tag.endswith("text"))
    assert " mm" not in said


def test_the_drawing_for_cad_has_the_network_on_layers_of_its_own(bank, tmp_path):
    ezdxf = pytest.importorskip("ezdxf")
    document = next(d for d in files(bank) if d.name == "set-out.dxf")
    document.write(bank, tmp_path / "a.dxf", "F1")
    space = ezdxf.readfile(tmp_path / "a.dxf").modelspace()
    count = {
        layer: sum(1 for e in space if e.dxf.layer == layer)
        for layer in ("HEADER", "LATERALS", "SMALL-TUBING", "EMITTERS", "VALVES")
    }
    assert all(count.values()), count
    assert count["EMITTERS"] == sum(len(v.punches.node) for v in bank.irrigation.valves)


def test_the_map_has_every_pipe_and_emitter_with_its_length(bank):
    kind, shapes, fields = layers(bank)["drip_pipes"]
    assert kind == "LineString Z"
    assert len(shapes) == sum(len(v.network.parent) - 1 for v in bank.irrigation.valves)
    walked = sum(float(v.walked[1:].sum()) for v in bank.irrigation.valves)
    assert fields["length_m"].sum() == pytest.approx(walked)
    _, shapes, fields = layers(bank)["drip_emitters"]
    assert len(shapes) == sum(len(v.punches.node) for v in bank.irrigation.valves)
    total = sum(float(v.low.flow[0]) for v in bank.irrigation.valves)
    assert fields["gives_L_h"].sum() == pytest.approx(3.6e6 * total)


def test_the_punching_list_has_as_many_lines_as_there_are_holes(bank):
    tables = [b for b in drip_sheets(bank)[2].blocks if isinstance(b, Table)]
    holes = sum(1 for t in tables for row in t.rows for cell in row[0::5] if cell)
    assert holes == sum(len(v.punches.node) for v in bank.irrigation.valves)


def test_a_gauge_at_the_far_end_reads_less_than_the_regulator_gives_for_that_height(bank):
    for v in bank.irrigation.valves:
        for _, _, _, _, low, high in lateral_ends(v):
            assert 0 < low <= high + 1e-9


def test_the_order_has_the_network_s_parts(bank):
    counts = {r["item"]: r["count"] for r in csv.DictReader(io.StringIO(takeoff_csv(bank)))}
    emitters = sum(len(v.punches.node) for v in bank.irrigation.valves)
    assert int(counts["stake"]) == int(counts["punched connector"]) == emitters


def test_the_fittings_of_the_sheet_are_those_of_the_order(bank):
    tables = [b for b in drip_sheets(bank)[1].blocks if isinstance(b, Table)]
    shown = next(t for t in tables if t.heading.startswith("Fittings"))
    counts = {r["item"]: r["count"] for r in csv.DictReader(io.StringIO(takeoff_csv(bank)))}
    listed = {}
    for _, item, many, at in shown.rows:
        listed[item] = listed.get(item, 0) + int(many)
        assert at
    assert listed == {item: int(counts[item]) for item in listed}
    assert any(item.startswith(("tee", "cross")) for item in listed)


def test_every_fitting_of_the_example_has_a_price(bank):
    ours = ("tee", "cross", "elbow", "reducer", "flush end", "check valve")
    found = [o for o in bank.estimate.order if o.line.item.startswith(ours)]
    assert len(found) > 3
    assert [o.line.item for o in found if o.missing or not o.bought] == []


def test_the_order_for_a_spreadsheet_is_in_the_jobs_units_and_adds_up(bank):
    rows = list(csv.DictReader(io.StringIO(takeoff_csv(bank))))
    assert all(float(row["count"]) >= 0 for row in rows)  # no comma in a number
    said = " ".join(" ".join(row.values()) for row in rows)
    for foreign in (" m of water", "L/h", " mm bore", " m long"):
        assert foreign not in said
    assert "psi" in said


@pytest.fixture(scope="module")
def starved():
    opened = open_job(EXAMPLES / "bracken-bank" / "job.toml")
    psi = 6894.757293168
    supply = opened.job.supply.model_copy(update={"pressure": (8 * psi, 12 * psi)})
    job = opened.job.model_copy(update={"supply": supply})
    return work_out(OpenJob(job=job, path=opened.path))


def test_without_pressure_no_hole_is_listed_and_the_sheet_says_what_would_do(starved):
    assert list(csv.DictReader(io.StringIO(punching_csv(starved)))) == []
    (sheet,) = drip_sheets(starved)
    said = " ".join(" ".join(b.lines) for b in sheet.blocks)
    assert "booster of at least" in said
    assert not any(isinstance(b, Table | Picture) for b in sheet.blocks)
    answer = next(a for a in starved.answers if a.number == 7)
    assert answer.verdict == "stop"
    for said in (answer.short, *answer.lines):
        assert "-0.0" not in said
        assert "Valve 1" not in said


def test_without_a_network_no_paper_and_no_file_sets_a_controller(starved):
    first, _ = water_sheets(starved)
    assert first.title == "Watering: nothing to set yet"
    assert not any(isinstance(b, Table) for b in first.blocks)
    assert "booster" in " ".join(" ".join(b.lines) for b in first.blocks)
    names = {document.name for document in files(starved)}
    assert "upkeep.ics" in names
    assert not names & {"watering.ics", "watering.csv", "punching.csv"}
    assert not any("controller" in chore.what.lower() for chore in starved.upkeep.chores)


def test_every_rate_over_a_rule_is_told_with_its_source_and_a_remedy(bank):
    answer = next(a for a in bank.answers if a.number == 7)
    said = " ".join(answer.lines)
    for landing in bank.irrigation.landings:
        assert f"irrigation.valve{landing.valve}.rate" in bank.workings
    assert any(landing.over for landing in bank.irrigation.landings)
    assert "Redwood City" in said
    assert "gentle = true" in said
    assert "in/h" in said
    tables = [b for b in drip_sheets(bank)[1].blocks if isinstance(b, Table)]
    lands = next(t for t in tables if t.heading == "How fast water lands")
    assert [row[5] for row in lands.rows] == [
        "OVER" if found.over else "kept" for found in bank.irrigation.landings
    ]


def test_the_crew_s_hours_come_from_the_metres_and_pieces_of_the_order(bank):
    counts = {r["item"]: float(r["count"]) for r in csv.DictReader(io.StringIO(takeoff_csv(bank)))}
    amount = {}
    for task in bank.work.tasks:
        amount[task.work] = amount.get(task.work, 0.0) + task.amount
    assert amount["emitters"] == counts["stake"]
    laterals = sum(len(v.carriers) for v in bank.irrigation.valves)
    assert amount["takeoffs"] == amount["test"] == laterals
    assert amount["valves"] == counts["control valve"]
    over = 1.05  # the network's parts are counted 5 % longer
    for work, ends in (("header", ", header"), ("laterals", ", lateral")):
        counted = sum(p.count for p in bank.irrigation.parts if p.item.endswith(ends))
        assert counted > 0
        assert amount[work] * over == pytest.approx(counted, abs=0.2)


def test_the_valve_table_gives_uniformity_at_low_and_at_high_supply(bank):
    tables = [b for b in drip_sheets(bank)[1].blocks if isinstance(b, Table)]
    valves = next(t for t in tables if t.heading == "Valves")
    place = valves.head.index("EU")
    for row, v in zip(valves.rows, bank.irrigation.valves, strict=True):
        shown = [float(n) for n in row[place].removesuffix(" %").split(", ")]
        # each emitter at its share of its nominal flow, the least of them over the mean
        for n, s in zip(shown, (v.low, v.high), strict=True):
            share = s.outlet_flow / v.network.outlets.nominal
            many = np.mean(np.unique(v.punches.cell, return_counts=True)[1])
            making = max(v.types[int(k)].variation for k in v.punches.kind)
            by_hand = (1 - 1.27 * making / np.sqrt(many)) * share.min() / share.mean()
            assert n == pytest.approx(100 * by_hand, abs=0.51)


def test_every_flush_end_that_is_ordered_is_a_bar_on_the_plan(bank):
    from hillwright.irrigation.fittings import fittings_of
    from hillwright.job.site import Frame
    from hillwright.sheets.drawing import Drawing
    from hillwright.sheets.dripplan import draw_network
    from hillwright.sheets.marks import Line
    from hillwright.sheets.view import View

    frame = bank.site.frame
    assert isinstance(frame, Frame)
    d = Drawing(View.paper(32, 0.0, (0.0, 0.0), (0.0, 0.0), frame), frame, "us", 32)
    draw_network(d, bank.irrigation, 10.0)
    for part, layer in (("header", "header"), ("lateral", "laterals")):
        ordered = [
            f
            for v in bank.irrigation.valves
            for f in fittings_of(v)
            if f.where == part and f.item.startswith("flush end")
        ]
        bars = [
            m
            for m in d.marks
            if isinstance(m, Line) and m.layer == layer and len(m.points) == 2 and not m.pen.dash
            and np.isclose(np.hypot(*(m.points[1] - m.points[0])), 3.2)
        ]  # fmt: skip
        assert len(bars) == len(ordered) > 0
