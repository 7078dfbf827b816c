"""LandXML 1.2 surfaces: the points of one, read from a survey file that ends in ``.xml``.

Only the points are taken; the ground is triangulated afresh. A file with a document type or an
entity is refused unread: such a file can grow without end or fetch others.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from hillwright.arrays import Array
from hillwright.errors import SurveyError
from hillwright.job.files import Problems
from hillwright.job.points import PointFile, Shot, number
from hillwright.method import method

if TYPE_CHECKING:
    from xml.etree.ElementTree import Element

_UNITS = {"foot": "ft", "ussurveyfoot": "us_survey_foot", "meter": "m", "metre": "m"}


class LandxmlPoint(NamedTuple):
    """One point of a LandXML surface."""

    northing: float
    easting: float
    elevation: float
    xyz: Array


@method(
    title="A point of a LandXML surface",
    equation="P = northing easting elevation -> x = easting, y = northing, z = elevation",
    source="LandXML 1.2 schema documentation, element P",
)
def landxml_point(text: str) -> LandxmlPoint:
    """Read the text of a P element.

    Parameters
    ----------
    text : str
        Three numbers parted by blanks. [text]

    Returns
    -------
    northing, easting, elevation : float
        In the file's own unit. [any]
    xyz : (3,) array
        Easting, northing, elevation. [any]

    Raises
    ------
    SurveyError
        Not three plain numbers.
    """
    values = [number(word) for word in str(text).split()]
    read = [v for v in values if v is not None]
    if len(values) != 3 or len(read) != 3:
        raise SurveyError(
            "point",
            f"{str(text).strip()[:60]!r} is not a point",
            "write northing easting elevation",
        )
    n, e, z = read
    return LandxmlPoint(n, e, z, np.array([e, n, z]))


def read_landxml(text: str, file: str) -> PointFile:
    """Read the points of the one surface in a LandXML file as shots.

    Raises
    ------
    SurveyError
        Not LandXML, a document type or entity, no surface or more than one, or a bad point.
    """
    from xml.etree import ElementTree

    if re.search(r"<!(DOCTYPE|ENTITY)", text, re.IGNORECASE):
        raise SurveyError(file, "has a document type or entity", "export plain LandXML 1.2")
    try:
        root = ElementTree.fromstring(re.sub(r"^\s*<\?xml[^>]*\?>", "", text))
    except (ElementTree.ParseError, ValueError, RecursionError) as error:
        line = getattr(error, "position", (1, 0))[0]
        raise SurveyError(
            f"{file} line {line}", "is not well-formed XML", "export it again"
        ) from None

    def named(parent: Element, name: str) -> list[Element]:
        return [e for e in parent.iter() if str(e.tag).rpartition("}")[2] == name]

    if str(root.tag).rpartition("}")[2] != "LandXML":
        raise SurveyError(file, "is not a LandXML file", "export the surface as LandXML 1.2")
    surfaces = named(root, "Surface")
    if len(surfaces) != 1:
        raise SurveyError(
            file, f"holds {len(surfaces)} surfaces", "export just the one surface of bare ground"
        )
    problems, shots = Problems(file), []
    for i, p in enumerate(named(surfaces[0], "P"), 1):
        try:
            at = landxml_point(p.text or "")
        except SurveyError as error:
            bad = error.problems[0]
            problems.add(f"point {p.get('id', i)}", bad.what, bad.right)
            continue
        name = p.get("id", str(i))
        shots.append(Shot(i, name, at.easting, at.northing, at.elevation, ""))
    problems.raise_any()
    if not shots:
        raise SurveyError(file, "its surface has no points", "export the surface with its points")
    unit = ""
    for units in named(root, "Units"):
        for kind in units:
            unit = _UNITS.get(kind.get("linearUnit", "").lower(), kind.get("linearUnit", ""))
    return PointFile(tuple(shots), "PNEZ", True, unit)
