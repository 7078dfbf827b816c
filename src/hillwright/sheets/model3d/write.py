"""The model to GLB bytes: y up, right-handed, metres, about the middle of the outline."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

import numpy as np

from hillwright.arrays import Array
from hillwright.sheets.model3d.materials import NAMES, look
from hillwright.sheets.model3d.parts import copies, solids
from hillwright.sheets.model3d.shapes import Mesh

if TYPE_CHECKING:
    from hillwright.plan import Plan

# x east, y north, z up to x east, y up, z south (glTF 2.0, 3.4: +Y up, right-handed)
TURN = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])


def origin(plan: Plan) -> Array:
    """Give the place that is 0, 0, 0 in the model: low, in the middle of the outline (3,) [m]."""
    middle = (plan.surface.outline.min(axis=0) + plan.surface.outline.max(axis=0)) / 2
    corners = plan.layout.corners.reshape(-1, 3)
    if len(corners):
        return np.array([*middle, corners[:, 2].min()])
    return np.array([*middle, *plan.surface.graded.at(*middle[:, None])[0]])


def glb(plan: Plan) -> bytes:
    """Give the model; the same plan gives the same bytes."""
    trimesh: Any = importlib.import_module("trimesh")
    visual: Any = importlib.import_module("trimesh.visual")
    looks = {
        name: visual.TextureVisuals(
            material=visual.material.PBRMaterial(
                name=name,
                baseColorFactor=[*look(name).colour, 1.0],
                metallicFactor=0.0,
                roughnessFactor=1.0,
                doubleSided=name in ("ground", "drain"),
            )
        )
        for name in NAMES
    }

    def made(mesh: Mesh, material: str, shift: Array) -> Any:
        if not np.isfinite(mesh.points).all():
            raise ValueError("a model of points that are nowhere")  # JSON has no such numbers
        points = ((mesh.points - shift) @ TURN.T).astype(np.float32)
        return trimesh.Trimesh(points, mesh.triangles, process=False, visual=looks[material].copy())

    at = origin(plan)
    scene = trimesh.Scene(base_frame="site")
    for solid in solids(plan):
        shape = made(solid.mesh, solid.material, at)
        scene.add_geometry(shape, geom_name=solid.name, node_name=solid.name)
    for group in copies(plan):
        shape = made(group.mesh, group.material, np.zeros(3))
        for name, place in zip(group.names, group.places, strict=True):
            turned = np.eye(4)
            turned[:3, :3] = TURN @ place[:3, :3] @ TURN.T
            turned[:3, 3] = TURN @ (place[:3, 3] - at)
            if group.shape in scene.geometry:
                scene.graph.update(
                    frame_to=name, frame_from="site", matrix=turned, geometry=group.shape
                )
            else:
                scene.add_geometry(shape, geom_name=group.shape, node_name=name, transform=turned)
    scene.metadata = {
        "name": plan.opened.job.site.name,
        "unit": "m",
        "axes": "x east or along the base line, y up, -z north or square to the base line",
        "origin_m": [round(float(v), 4) for v in at],
    }
    exported: bytes = scene.export(file_type="glb", include_normals=False)
    return exported
