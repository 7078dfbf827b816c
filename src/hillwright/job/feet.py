"""The two feet, told apart: nothing over one lot, 4 ft in a state-plane coordinate of 2,000,000."""

from __future__ import annotations

from typing import NamedTuple

from hillwright.errors import SurveyError
from hillwright.method import method

INTERNATIONAL_FOOT = 0.3048  # exact, yard and pound agreement of 1959 [m]
SURVEY_FOOT = 1200 / 3937  # [m]
_SOURCE = (
    "NIST and NOAA, 2020, Federal Register 85 FR 62698, "
    "Deprecation of the United States (U.S.) Survey Foot"
)
_KINDS = {
    "international": INTERNATIONAL_FOOT,
    "foot": INTERNATIONAL_FOOT,
    "ft": INTERNATIONAL_FOOT,
    "us survey": SURVEY_FOOT,
    "us survey foot": SURVEY_FOOT,
    "survey": SURVEY_FOOT,
}


class FootComparison(NamedTuple):
    """The two feet side by side."""

    international: float
    survey: float
    ratio: float
    difference: float


@method(
    title="Length of a foot",
    equation="international foot = 0.3048 m; US survey foot = 1200/3937 m",
    source=_SOURCE,
)
def foot_length(kind: str) -> float:
    """Give the metres in one foot.

    Parameters
    ----------
    kind : str
        "international" or "us survey". [text]

    Returns
    -------
    float
        Length of one foot. [m]

    Raises
    ------
    SurveyError
        Another kind of foot.

    Notes
    -----
    The survey foot is not for new work after 2022, but files in older systems still carry it.
    """
    word = " ".join(str(kind).lower().replace("_", " ").split())
    if word not in _KINDS:
        raise SurveyError("kind", f"{kind!r} is not a foot", 'write "international" or "us survey"')
    return _KINDS[word]


@method(
    title="What mixing up the two feet does to a distance or coordinate",
    equation="ratio = survey / international; difference = distance (ratio - 1)",
    source=_SOURCE,
)
def foot_mixup(distance: float) -> FootComparison:
    """Compare the two feet, and give the error when one is read as the other.

    Parameters
    ----------
    distance : float
        Distance or coordinate that was written in feet. [m]

    Returns
    -------
    international : float
        The international foot. [m]
    survey : float
        The US survey foot. [m]
    ratio : float
        Survey foot over international foot. [-]
    difference : float
        How far out the distance is. [m]
    """
    a, b = foot_length("international"), foot_length("us survey")
    return FootComparison(a, b, b / a, distance * (b / a - 1))
