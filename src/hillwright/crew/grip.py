"""The grip of a load by the decision tree (NIOSH), and what an index means."""

from __future__ import annotations

import math

from hillwright.crew.given import at_least_zero, one_of, rows
from hillwright.method import method

_SOURCE = (
    "Waters, Putz-Anderson and Garg, 1994 (rev. 9/2021), Applications Manual for the Revised NIOSH "
    "Lifting Equation, DHHS (NIOSH) 94-110"
)
FOOTING = math.atan(0.4)  # a slope that asks for more friction than this of the boots [rad]
_MILD = (19.0, 26.0)  # [degC]


@method(
    title="Grip class of a load (NIOSH)",
    equation="decision tree: container or loose object, optimal or not, handles, fingers at 90 deg",
    source=f"{_SOURCE}, Table 6 and decision tree, pp. 17-18",
)
def grip_class(
    thing: str,
    optimal: bool = True,
    handles: bool = False,
    fingers: bool = False,
    bulky: bool = False,
) -> str:
    """Give the class of the grip; when in doubt take the worse.

    Parameters
    ----------
    thing : str
        "container" or "loose object". A bag of soil is neither firm nor handled: poor. [text]
    optimal : bool, optional
        Container: at most 40 cm long and 30 cm high, smooth, its load firm and centred. [-]
    handles : bool, optional
        Optimal handles, or an optimal grip on a loose object. [-]
    fingers : bool, optional
        Fingers can be bent by 90 degrees under it. [-]
    bulky : bool, optional
        Loose object: bulky. [-]

    Returns
    -------
    str
        "good", "fair" or "poor". [text]

    Raises
    ------
    OutOfRange
        A thing that is neither.
    """
    word = one_of("thing", thing, ("container", "loose object"))
    first = (
        ("optimal container" if optimal else "not optimal container")
        if word == "container"
        else ("bulky" if bulky else "not bulky")
    )
    hold = "handles" if word == "container" else "grip"
    second = f"optimal {hold}" if handles else f"no optimal {hold}"
    third = "fingers flexed 90 deg" if fingers else "fingers not flexed 90 deg"
    for row in rows("lifting", "coupling_tree"):
        tests = (row["test_1"], row["test_2"], row["test_3"])
        if row["object"] == word and all(
            not told or told == asked
            for told, asked in zip(tests, (first, second, third), strict=True)
        ):
            return str(row["class"])
    raise AssertionError("the tree has no such branch")  # pragma: no cover


def meaning(index: float) -> str:
    """Give what a lifting index means, in the source's words."""
    value = float(at_least_zero("index", index)) if math.isfinite(index) else 99.0
    found = rows("lifting", "bands")
    return next(str(r["meaning"]) for r in found if value <= r["li_to"])


def broken_conditions(slope: float, temperature: float | None) -> tuple[str, ...]:
    """Give the conditions of the equation that a hillside does not meet.

    Parameters
    ----------
    slope : float
        Of the ground that people stand on [rad].
    temperature : float, optional
        Of the hottest hour, where it is known [degC].
    """
    found = []
    for row in rows("lifting", "not_for"):
        text = str(row["condition"])
        always = text.startswith(("unstable", "lifting while", "wheelbarrows"))
        footing = text.startswith("foot-floor") and slope > FOOTING
        warm = (
            text.startswith("air temperature")
            and temperature is not None
            and not _MILD[0] <= temperature <= _MILD[1]
        )
        if always or footing or warm:
            found.append(text)
    return tuple(found)
