"""A job on the service: its plan comes part by part, and an edit brings only what it changed."""

import json

import numpy as np
import pytest

from hillwright.web.packed import unpack

ALL = {
    *("answers", "figures", "ground", "cells", "plants", "bars", "drains", "drip", "schedule"),
    *(
        "setout",
        "takeoff",
        "cost",
        "overlays.fit",
        "overlays.hold",
        "overlays.sun",
        "overlays.soil",
    ),
    *("overlays.storm", "overlays.water", "overlays.drip", "overlays.work"),
}


def test_a_plan_is_told_stage_by_stage_and_ends_with_every_part(client):
    job = client.start()
    told = client.events(job, after=client.get(f"/api/jobs/{job}/plan").json()["at"])
    stages = [d["stage"] for kind, d in told if kind == "stage"]
    assert stages.index("ground") < stages.index("layout") < stages.index("takeoff")
    cells = next(d for kind, d in told if kind == "stage" and "cells" in d["parts"])
    assert cells["stage"] == "layout"
    assert told[-1][0] == "plan"
    assert set(told[-1][1]["parts"]) >= ALL


def test_every_part_can_be_had_and_for_ever(client, planned):
    head = client.stands(planned)
    n = None
    for name, part in head["parts"].items():
        got = client.get(part["url"])
        assert got.status_code == 200, name
        assert "immutable" in got.headers["cache-control"]
        if got.headers["content-type"] == "application/json":
            json.loads(got.content)
            continue
        arrays, _ = unpack(got.content)
        if name == "cells":
            n = len(arrays["row"])
            assert arrays["corners"].shape == (n, 4, 3)
    for name in ("overlays.fit", "overlays.soil", "overlays.storm", "overlays.drip"):
        arrays, _ = unpack(client.get(head["parts"][name]["url"]).content)
        assert all(a.shape[-1] == n for a in arrays.values()), name


def test_the_ten_answers_are_those_of_the_command(client, planned):
    from pathlib import Path

    from hillwright.job.read import open_job
    from hillwright.plan import work_out

    here = work_out(open_job(Path(__file__).parents[2] / "examples" / "bracken-bank"))
    head = client.stands(planned)
    told = client.get(head["parts"]["answers"]["url"]).json()
    assert [a["short"] for a in told["answers"]] == [a.short for a in here.answers]
    assert [a["verdict"] for a in told["answers"]] == [a.verdict for a in here.answers]
    assert set(told["warnings"]) == set(here.warnings)
    arrays, _ = unpack(client.get(head["parts"]["cells"]["url"]).content)
    np.testing.assert_allclose(arrays["corners"], here.layout.corners, atol=1e-3)


def test_an_edit_of_a_price_sends_the_answers_and_no_map(client, planned):
    before = client.stands(planned)
    at = client.get(f"/api/jobs/{planned}").json()["revision"]
    saved = client.edit(planned, at, {"op": "add", "path": "/watering", "value": {"price": 2.5}})
    assert saved.status_code == 200, saved.text
    after = client.stands(planned)
    assert after["revision"] == saved.json()["revision"]
    changed = {n for n, p in after["parts"].items() if p != before["parts"][n]}
    assert changed <= {"answers", "figures"}
    assert "answers" in changed


def test_a_figure_can_be_asked_why(client, planned):
    client.stands(planned)
    told = client.get(f"/api/jobs/{planned}/why/layout.count").json()
    assert told["equation"]
    assert told["result"]["shown"]
    assert "cell" in told["inputs"]
    wrong = client.get(f"/api/jobs/{planned}/why/layout.cuont")
    assert wrong.status_code == 422
    assert "layout.count" in wrong.json()["problems"][0]["right"]


def test_a_section_shows_the_ground_and_the_cells_that_it_cuts(client, planned):
    head = client.stands(planned)
    arrays, _ = unpack(client.get(head["parts"]["cells"]["url"]).content)
    middle = arrays["corners"].mean(axis=1)
    down = middle[arrays["row"].argmin()], middle[arrays["row"].argmax()]
    ends = {k: f"{p[0]},{p[1]}" for k, p in zip(("from", "to"), down, strict=True)}
    told = client.get(f"/api/jobs/{planned}/section", params=ends).json()
    assert len({c["row"] for c in told["cells"]}) > 3
    assert told["ground"][0] > told["ground"][-1]
    for bad in ({"from": "0,0", "to": "0,0"}, {"from": "x", "to": "1,1"}, {"from": "1", "to": "2"}):
        assert client.get(f"/api/jobs/{planned}/section", params=bad).status_code == 422


def test_a_place_dragged_on_the_map_comes_back_where_it_was_dropped(client):
    job = client.start()
    client.stands(job)
    corners = [[1.0, 0.5], [5.5, 0.5], [5.5, 3.4567], [1.0, 3.0]]
    value = {"corners": [{"local": c} for c in corners]}
    saved = client.edit(job, 1, {"op": "replace", "path": "/outline", "value": value})
    assert saved.status_code == 200, saved.text
    tables = client.get(f"/api/jobs/{job}").json()["job"]
    assert tables["outline"]["corners"][2] == ["18.04 ft", "11.34 ft"]
    head = client.stands(job)
    _, meta = unpack(client.get(head["parts"]["ground"]["url"]).content)
    np.testing.assert_allclose(sorted(meta["corners"]), sorted(corners), atol=0.005)


def test_events_missed_are_told_again_or_said_to_be_missed(client, planned):
    at = client.get(f"/api/jobs/{planned}/plan").json()["at"]
    client.post(f"/api/jobs/{planned}/ticks", json={"ticks": [tick("t-000001", "row/1")]})
    assert client.events(planned, ("ticks",), after=at)[-1][0] == "ticks"
    assert client.events(planned, ("again",), after="0badcafe-7")[-1][0] == "again"


def tick(uuid, key, done=True, at="2026-03-01T09:00:00Z"):
    return {"uuid": uuid, "key": key, "done": done, "at": at, "device": "phone"}


def test_marks_of_two_phones_are_joined(client):
    job = client.start()
    mine = [tick("a-000001", "row/7"), tick("a-000002", "row/8")]
    theirs = [tick("b-000001", "row/7", False, "2026-03-01T10:00:00Z")]
    client.post(f"/api/jobs/{job}/ticks", json={"ticks": mine})
    told = client.post(f"/api/jobs/{job}/ticks", json={"ticks": [*theirs, *mine]}).json()
    assert told["done"] == {"row/7": False, "row/8": True}
    assert len(told["ticks"]) == 3


@pytest.mark.parametrize("turn", [1, -1])
def test_a_corner_of_the_map_is_the_corner_of_the_job_whichever_way_round_they_go(client, turn):
    job = client.start()
    base = client.stands(job)["revision"]
    corners = [["2 ft", "2 ft"], ["14 ft", "2 ft"], ["14 ft", "11 ft"], ["3 ft", "12 ft"]][::turn]
    stump = {
        "name": "stump",
        "corners": [["6 ft", "5 ft"], ["8 ft", "5 ft"], ["8 ft", "7 ft"]][::turn],
    }
    held = client.get(f"/api/jobs/{job}").json()["job"]
    steps = [
        {"op": "add", "path": "/outline", "value": {"corners": corners}},
        {"op": "replace" if "exclusion" in held else "add", "path": "/exclusion", "value": [stump]},
    ]
    answer = client.edit(job, base, *steps)
    assert answer.status_code == 200, answer.text
    part = client.stands(job)["parts"]["ground"]["url"]
    _, meta = unpack(client.get(part).content)
    feet = lambda ring: [[round(v / 0.3048) for v in p] for p in ring]  # noqa: E731
    written = lambda ring: [[int(v.split()[0]) for v in p] for p in ring]  # noqa: E731
    assert feet(meta["corners"]) == written(corners)
    assert feet(meta["exclusions"][0]["ring"]) == written(stump["corners"])


def test_what_lies_on_a_survey_in_degrees_can_be_moved_too(client):
    at = [(-118.3 + c * 2e-5, 34.1 + r * 2e-5) for r in range(6) for c in range(6)]
    points = "P,lat,lon,elev\n" + "".join(
        f"{k},{lat:.7f},{lon:.7f},{100 + 5e4 * (lat - 34.1):.3f}\n"
        for k, (lon, lat) in enumerate(at)
    )
    text = '[survey]\nkind = "points"\nfile = "p.csv"\ncrs = "EPSG:4269"\n'
    files = [("files", ("job.toml", text.encode())), ("files", ("p.csv", points.encode()))]
    made = client.post("/api/jobs/upload", files=files)
    assert made.status_code == 201, made.text
    job = made.json()["id"]
    client.stands(job)
    step = {"op": "add", "path": "/supply", "value": {"place": {"local": [1.25, -2.5]}}}
    assert client.edit(job, 1, step).status_code == 200
    lon, lat = (
        float(v.split()[0]) for v in client.get(f"/api/jobs/{job}").json()["job"]["supply"]["place"]
    )
    assert abs(lon + 118.3) < 1e-3
    assert abs(lat - 34.1) < 1e-3
    _, meta = unpack(client.get(client.stands(job)["parts"]["ground"]["url"]).content)
    assert meta["tap"] == pytest.approx([1.25, -2.5], abs=0.001)


def test_the_schema_of_a_job_gives_forms_the_kind_and_limits_of_each_quantity(client):
    told = client.get("/api/schema/job").json()
    width = told["$defs"]["Cell"]["properties"]["width"]
    assert (width["type"], width["quantity"]) == ("string", "length")
    assert 0 < width["least"] < width["default"] < width["most"]
    slope = told["$defs"]["Choices"]["properties"]["max_tilt"]
    assert slope["quantity"] == "slope"


def test_the_schema_says_how_a_value_is_chosen_where_its_type_cannot(client):
    told = client.get("/api/schema/job").json()["$defs"]
    of = lambda model, key: told[model]["properties"][key]  # noqa: E731
    assert of("WishText", "plant")["form"] == "plant, kind or use"
    assert of("PlantingText", "walk")["items"] == {"form": "cell", "type": "string"}
    assert of("CrewText", "begin")["format"] == "time"
    assert of("SoilText", "friction")["form"] == of("SupplyText", "pressure")["form"] == "range"
    assert of("ClimateText", "rain")["form"] == "months"
    assert {f["form"] for f in (of("Rain", "table"), of("EstimateText", "prices"))} == {"file"}
    part = of("MixText", "parts")["items"]["prefixItems"][0]
    assert "compost" in part["known"]
    assert "woods" in of("Rain", "cover_now")["known"]


def test_what_can_be_wished_for_are_the_program_s_plants_and_the_job_s_own(client):
    job = client.start()
    told = client.get(f"/api/jobs/{job}/palette").json()
    assert {"id": "tomato", "kind": "vegetable"}.items() <= next(
        p for p in told["plants"] if p["id"] == "tomato"
    ).items()
    assert "tree" in told["kinds"]
    assert "pollinator" in told["uses"]
    own = b"id,common\ntomato,Grandmother's tomato\n"
    base = client.get(f"/api/jobs/{job}").json()["revision"]
    made = client.post(
        f"/api/jobs/{job}/files", files={"file": ("plants.csv", own)}, data={"base": base}
    ).json()["revision"]
    client.edit(job, made, {"op": "add", "path": "/planting", "value": {"palette": "plants.csv"}})
    told = client.get(f"/api/jobs/{job}/palette").json()
    assert "Grandmother's tomato" in [p["common"] for p in told["plants"]]


def test_two_revisions_are_compared_by_their_answers_too(client, planned):
    base = client.stands(planned)["revision"]
    before = client.get(f"/api/jobs/{planned}").json()["job"]["cell"]["width"]
    width = "36 in" if before != "36 in" else "30 in"
    patch = {"op": "replace", "path": "/cell/width", "value": width}
    made = client.edit(planned, base, patch).json()["revision"]
    client.stands(planned)
    told = client.get(f"/api/jobs/{planned}/compare", params={"a": base, "b": made}).json()
    assert [c["path"] for c in told["changes"]] == ["/cell/width"]
    fit = next(a for a in told["answers"] if a["number"] == 2)
    assert fit["before"] != fit["after"]
    client.post(f"/api/jobs/{planned}/undo", json={"base": made})


def test_contours_stand_at_round_heights_of_the_unit_that_they_are_read_in(client):
    """The survey of this job is in feet; whoever reads it in metres reads round metres."""
    job = client.start()
    client.edit(job, 1, {"op": "replace", "path": "/units", "value": "metric"})
    head = client.stands(job)
    arrays, meta = unpack(client.get(head["parts"]["ground"]["url"]).content)
    steps = np.asarray(arrays["contour_level"]) / meta["interval"]
    assert len(steps) > 3
    assert np.allclose(steps, np.round(steps), atol=1e-3)
    # 1, 2 or 5, or a quarter of ten, times ten to some power
    lead = float(f"{meta['interval']:e}".split("e")[0])
    assert min(abs(lead - n) for n in (1, 2, 2.5, 5)) < 1e-6


def test_a_bare_number_is_told_in_three_digits_and_its_working_in_all(client, planned):
    head = client.stands(planned)
    figures = client.get(head["parts"]["figures"]["url"]).json()["figures"]
    told = {f["id"]: f["result"] for f in figures}
    factor = "stability.slope.cells.soaked"
    assert len(told[factor].replace(".", "").lstrip("0")) <= 3
    whole = client.get(f"/api/jobs/{planned}/why/{factor}").json()["result"]["value"]
    assert abs(float(told[factor]) / whole - 1) < 0.005
