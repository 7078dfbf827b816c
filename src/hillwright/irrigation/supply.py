"""The supply: flow and pressure at hand, what meter, backflow assembly and filter take of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from hillwright import given
from hillwright.errors import OutOfRange
from hillwright.irrigation.friction import friction_loss
from hillwright.irrigation.parts import head_of_psi
from hillwright.irrigation.piperules import meter_flow
from hillwright.irrigation.tables import INCH, rows, words
from hillwright.method import method

ASSEMBLIES = (
    "reduced pressure assembly",
    "double check",
    "pressure vacuum breaker",
    "atmospheric vacuum breaker",
)
SHARE = 0.75  # of a measured flow that is used: the landscape trade's rule
_BREAKER = {"pressure vacuum breaker": 12 * INCH, "atmospheric vacuum breaker": 6 * INCH}


@dataclass(frozen=True, slots=True)
class Supply:
    """What the person says of the supply; heads are of pressure at the tap with nothing running."""

    low: float  # static pressure head on a bad day [m]
    high: float  # on a good day [m]
    flow: float | None  # measured, with the tap wide open [m3/s]
    meter: str  # size, "" not known
    service_length: float  # pipe from the meter to the tap [m]
    service_bore: float  # [m]
    elevation: float  # of the tap [m]
    place: tuple[float, float]  # of the tap
    assembly: str  # backflow assembly, "" to be chosen
    assumed: tuple[str, ...] = ()  # what nobody measured


class Loss(NamedTuple):
    """One part between the service and the tubing, and the head it takes."""

    part: str
    head: float


@method(
    title="Backflow assembly for the height of the outlets",
    equation="vacuum breakers only where they stand over the highest outlet: 12 in (pressure), "
    "6 in (atmospheric); else a reduced pressure assembly",
    source="Texas landscape irrigation rules as in an ordinance of Paris, Texas; Gilbert, Arizona",
)
def backflow_assembly(highest_outlet: float, breaker: float, wanted: str = "") -> str:
    """Choose the backflow assembly, or refuse the one wanted.

    Parameters
    ----------
    highest_outlet : float
        Elevation of the highest emitter or pipe behind it. [m]
    breaker : float
        Elevation at which a vacuum breaker would stand. [m]
    wanted : str
        An assembly's name, or "" for the plainest that fits. [text]

    Returns
    -------
    assembly : str
        That may be used by these rules; the local code decides. [text]

    Raises
    ------
    OutOfRange
        A vacuum breaker that does not stand high enough over the outlets.
    """
    over = float(given.number("breaker", breaker)) - float(
        given.number("highest_outlet", highest_outlet)
    )
    if not wanted:
        needed = _BREAKER["pressure vacuum breaker"]
        return "pressure vacuum breaker" if over >= needed - 1e-9 else "reduced pressure assembly"
    kind = given.one_of("assembly", wanted, ASSEMBLIES)
    if kind in _BREAKER and over < _BREAKER[kind] - 1e-9:
        raise OutOfRange(
            "supply.backflow",
            f"the highest outlet is {-over:.2f} m above a {kind}, which must stand "
            f"{_BREAKER[kind]:.2f} m over it",
            'write "reduced pressure assembly", or set the breaker at the top of the hill',
        )
    return kind


def flow_at_hand(supply: Supply) -> tuple[float, str]:
    """Give the flow that one valve may take [m3/s], and what it rests on."""
    found: list[tuple[float, str]] = []
    if supply.flow is not None:
        found.append((SHARE * supply.flow, "three quarters of the measured flow"))
    if supply.meter:
        found.append((meter_flow(supply.meter)[1], "what the meter passes for hours"))
    if not found:
        raise OutOfRange("supply.flow", "is not known", "time a bucket, or name the meter's size")
    return min(found)


def losses(supply: Supply, flow: float, assembly: str) -> tuple[Loss, ...]:
    """Give what each part between the service and a valve's tubing takes at a flow."""
    head = {r["part"]: head_of_psi(r["loss_psi"]) for r in rows("irrigation_supply", "component")}
    meter = supply.meter or "5/8"
    share = flow / meter_flow(meter)[0]
    found = [Loss("water meter", head["water meter at its safe maximum"] * share**2)]
    if supply.service_length > 0:
        lost = friction_loss(flow, supply.service_bore, supply.service_length)
        found.append(Loss("service pipe", float(lost)))
    found.append(Loss(assembly, head[assembly]))
    return (*found, *(Loss(part, head[part]) for part in ("filter", "valve", "regulator")))


def presets() -> tuple[float, ...]:
    """Give the pressure heads that regulators are sold for, lowest first [m]."""
    return tuple(head_of_psi(r["preset_psi"]) for r in rows("irrigation_supply", "regulator"))


def meters() -> tuple[str, ...]:
    """Give the sizes of meters that are tabled."""
    return words("irrigation_supply", "meter", "meter_in")
