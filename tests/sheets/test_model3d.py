"""The 3D model, read back by a library that did not write it (pygltflib), with its own sums."""

import json
import math
from itertools import pairwise

import numpy as np
import pygltflib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hillwright.sheets.model3d import shapes
from hillwright.sheets.model3d.materials import NAMES, look
from hillwright.sheets.model3d.parts import WALL, solids
from hillwright.sheets.model3d.plants import TRUNK, shape, spots
from hillwright.sheets.model3d.write import glb, origin

TYPES = {5125: np.uint32, 5126: np.float32}
SIZES = {"SCALAR": 1, "VEC3": 3}


class Read:
    """A model as another library reads it."""

    def __init__(self, data):
        self.file = pygltflib.GLTF2.load_from_bytes(data)
        self.blob = self.file.binary_blob()
        self.nodes = {n.name: n for n in self.file.nodes if n.mesh is not None}

    def array(self, index):
        a = self.file.accessors[index]
        view = self.file.bufferViews[a.bufferView]
        at = (view.byteOffset or 0) + (a.byteOffset or 0)
        n = SIZES[a.type]
        return np.frombuffer(self.blob, TYPES[a.componentType], a.count * n, at).reshape(-1, n)

    def mesh(self, name):
        node = self.nodes[name]
        one = self.file.meshes[node.mesh].primitives[0]
        points = self.array(one.attributes.POSITION).astype(float)
        if node.matrix:
            m = np.reshape(node.matrix, (4, 4)).T
            points = points @ m[:3, :3].T + m[:3, 3]
        return points, self.array(one.indices).reshape(-1, 3), one

    def material(self, name):
        return self.file.materials[self.mesh(name)[2].material].name


def volume(points, faces):
    a, b, c = (points[faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)


def area_of(corners):
    cross = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
    return float(np.linalg.norm(cross, axis=1).sum() / 2)


def closed(faces):
    """Every edge is walked once each way: no hole, all faces turned the same."""
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    there = {tuple(e) for e in edges.tolist()}
    return len(there) == len(edges) and all((b, a) in there for a, b in there)


def test_the_file_is_gltf_2_with_plain_numbers(example):
    data = glb(example)
    assert data[:4] == b"glTF"
    assert int.from_bytes(data[8:12], "little") == len(data)
    length = int.from_bytes(data[12:16], "little")

    def no_number(word):
        raise AssertionError(f"{word} is not JSON")

    head = json.loads(data[20 : 20 + length], parse_constant=no_number)
    assert head["asset"]["version"] == "2.0"
    model = Read(data)
    for index, accessor in enumerate(model.file.accessors):
        values = model.array(index)
        assert np.isfinite(values).all()
        # the bounds that the file tells are those of its numbers
        assert np.allclose(accessor.min, values.min(axis=0), atol=1e-5)
        assert np.allclose(accessor.max, values.max(axis=0), atol=1e-5)


def test_every_thing_of_the_plan_is_there_by_name_and_number(example):
    model, layout = Read(glb(example)), example.layout
    names = list(model.nodes)
    assert len(names) == len(set(names))
    assert "ground" in names
    for row in range(1, layout.rows + 1):
        walls = model.mesh(f"row {row} walls")[1]
        assert len(walls) == 32 * int((layout.row == row).sum())
    bars = [n for n in names if n.startswith("bar ")]
    assert len(bars) == len(example.stability.anchoring.place)
    for index, plant in enumerate(example.planting.plants):
        mine = [n for n in names if n.startswith(f"{plant.id} R")]
        assert len(mine) == int(example.planting.count[index])
    pipes = sum(len(model.mesh(n)[1]) for n in names if n.startswith("valve "))
    laid = 0
    for valve in example.irrigation.valves:
        parent = valve.network.parent
        way = np.linalg.norm(valve.at - valve.at[np.maximum(parent, 0)], axis=1)
        drawn = np.isin(valve.part, ["header", "lateral", "small"])
        laid += int(((way > 1e-6) & (parent >= 0) & drawn).sum())
    assert pipes == 24 * laid  # six sides of two triangles, two ends of six
    assert {n for n in names if n.endswith(" drain")} == {
        f"{d.key} drain" for d in example.drainage.drains
    }


def test_the_walls_stand_where_the_cells_lie_y_up_and_right_handed(example):
    model, at, layout = Read(glb(example)), origin(example), example.layout
    cells = layout.corners.reshape(-1, 3) - at
    cells = np.column_stack([cells[:, 0], cells[:, 2], -cells[:, 1]])
    for row in range(1, layout.rows + 1):
        points, _, _ = model.mesh(f"row {row} walls")
        here = np.repeat(layout.row == row, 4)
        low = points.reshape(-1, 4, 4, 3)[:, 0].reshape(-1, 3)  # outer base of each cell
        got, want = (np.array(sorted(p.round(3).tolist())) for p in (low, cells[here]))
        assert np.allclose(got, want, atol=2e-3)
        # a row lies no deeper than its corners and no higher than its walls
        assert points[:, 1].min() == pytest.approx(cells[here, 1].min(), abs=1e-4)
        assert points[:, 1].max() <= cells[here, 1].max() + layout.cell.depth + 1e-4


def test_walls_and_soil_are_closed_and_hold_what_the_rooms_say(example):
    model, layout, fill = Read(glb(example)), example.layout, example.fill
    cell, told = layout.cell, example.opened.job.holding.wall_thickness
    thick = told or WALL
    inner = (cell.width - 2 * thick) * (cell.run - 2 * thick) / (cell.width * cell.run)
    for row in range(1, layout.rows + 1):
        here = layout.row == row
        points, faces, _ = model.mesh(f"row {row} walls")
        assert closed(faces)
        size = volume(points, faces)
        # area of the wall from above, times its height; cells are not quite square or flat
        assert size == pytest.approx(
            (1 - inner) * area_of(layout.corners[here]) * cell.depth, rel=0.03
        )
        held = 0.0
        for name in ("soil", "walking"):
            if f"row {row} {name}" in model.nodes:
                points, faces, _ = model.mesh(f"row {row} {name}")
                assert closed(faces)
                assert model.material(f"row {row} {name}") == name
                held += volume(points, faces)
        whole = here & (fill.covered > 0.999)
        if whole.sum() == here.sum():
            room = 1.0 if told else inner  # the fill room knows a thickness that the job tells
            assert held == pytest.approx(room * fill.boxed[here].sum(), rel=0.03)


def test_plants_are_as_wide_and_high_as_they_grow(example):
    model = Read(glb(example))
    for plant in {example.planting.plants[g.plant] for g in example.planting.groups}:
        name = next(n for n in model.nodes if n.startswith(f"{plant.id} R"))
        size = np.ptp(model.mesh(name)[0], axis=0)
        assert size == pytest.approx([plant.width, plant.tall, plant.width], rel=1e-5)
        assert model.material(name) == plant.kind


def test_bars_stand_square_to_their_cells(worked):
    plan = worked("bracken-bank")
    model, bars = Read(glb(plan)), plan.stability.anchoring
    assert len(bars.place)
    name = next(n for n in model.nodes if n.startswith("bar "))
    points = model.mesh(name)[0]
    axis = points[-1] - points[0]  # foot to head
    assert np.linalg.norm(axis) == pytest.approx(bars.length + 0.05, rel=1e-5)
    c = plan.layout.corners[bars.place_cell[0]]
    normal = np.cross(c[3] - c[0], c[1] - c[0])
    normal = np.array([normal[0], normal[2], -normal[1]])
    assert axis @ normal / np.linalg.norm(axis) / np.linalg.norm(normal) > 0.999


def lightness(colour):
    y = float(np.array([0.2126, 0.7152, 0.0722]) @ np.array(colour))
    return 116 * y ** (1 / 3) - 16


def test_no_two_materials_look_alike_in_grey(worked):
    model = Read(glb(worked("bracken-bank")))
    found = {
        m.name: lightness(m.pbrMetallicRoughness.baseColorFactor[:3]) for m in model.file.materials
    }
    assert set(found) <= set(NAMES)
    assert len(found) > 8
    levels = sorted(found.values())
    assert min(b - a for a, b in pairwise(levels)) > 4
    assert all(max(look(n).colour) <= 1 for n in NAMES)


def test_the_model_says_where_it_lies_and_the_same_plan_gives_the_same_bytes(worked):
    plan = worked("bracken-bank")
    data = glb(plan)
    assert data == glb(plan)
    scene = Read(data).file.scenes[0]
    assert scene.extras["origin_m"] == pytest.approx(origin(plan), abs=1e-4)
    assert scene.extras["unit"] == "m"


@pytest.mark.parametrize("kind", ["tree", "berry", "vegetable", "herb", "flower", "cover"])
def test_a_plant_of_every_kind_is_closed_one_wide_and_one_high(kind):
    mesh = shape(kind)
    assert closed(mesh.triangles)
    assert mesh.volume > 0
    assert np.ptp(mesh.points, axis=0) == pytest.approx([1, 1, 1])
    assert mesh.points[:, 2].min() == 0
    assert 0 < TRUNK < 0.5


@given(
    sides=st.integers(3, 24),
    radius=st.floats(0.01, 5),
    length=st.floats(0.01, 50),
)
def test_a_tube_holds_what_a_prism_holds(sides, radius, length):
    start = np.array([[1.0, 2.0, 3.0]])
    end = start + length * np.array([[0.6, 0.0, 0.8]])
    mesh = shapes.tubes(start, end, np.array([radius]), sides)
    assert closed(mesh.triangles)
    area = sides / 2 * radius**2 * math.sin(2 * math.pi / sides)
    assert mesh.volume == pytest.approx(area * length, rel=1e-6)


@given(count=st.integers(1, 40), wide=st.floats(0.2, 3), deep=st.floats(0.2, 3))
def test_plants_of_one_planting_stand_apart_and_on_its_own_ground(count, wide, deep):
    across, down, centre = np.array([wide, 0, 0]), np.array([0, -deep, -0.5 * deep]), np.zeros(3)
    found = spots(count, across, down, centre)
    assert found.shape == (count, 3)
    assert len({tuple(p.round(6)) for p in found}) == count
    assert (np.abs(found[:, 0]) < wide / 2).all()
    assert (np.abs(found[:, 1]) < deep / 2).all()
    assert np.allclose(found[:, 2], 0.5 * found[:, 1])  # along the slope


def test_a_model_has_no_point_that_is_nowhere(worked):
    for name in ("quarry-garden", "long-meadow"):  # their ditches leave the ground that is known
        plan = worked(name)
        assert all(np.isfinite(s.mesh.points).all() for s in solids(plan))
        assert glb(plan)
