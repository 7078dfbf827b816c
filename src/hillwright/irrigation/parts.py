"""What a network is made of: emitters and tubing by class, and what laying them takes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from hillwright.irrigation.tables import GALLON, INCH, LPH, PSI, rows

UNIT_WEIGHT = 998.16 * 9.80665  # of water at 20 deg C [N/m3]


def head_of_psi(psi: float) -> float:
    """Give the head of water of a pressure in psi [m]."""
    return psi * PSI / UNIT_WEIGHT


@dataclass(frozen=True, slots=True)
class EmitterType:
    """An emitter as it is sold."""

    name: str
    compensating: bool
    nominal: float  # at the pressure head below, the onset of a compensating one [m3/s]
    at: float  # [m]
    exponent: float  # above the onset where it compensates [-]
    lowest: float  # working pressure head [m]
    highest: float  # [m]
    variation: float  # coefficient of manufacturing variation [-]
    price: float

    @property
    def below(self) -> float:
        """Exponent under the onset [-]."""
        return 0.5 if self.compensating else self.exponent


@dataclass(frozen=True, slots=True)
class Tubing:
    """Tubing as it is sold."""

    name: str
    small: bool  # from a connector to a stake; else a lateral or header
    bore: float  # [m]
    highest: float  # pressure head that it stands [m]
    price: float  # of a metre


@dataclass(frozen=True, slots=True)
class Prices:
    """What parts and hours of laying cost; all by piece or metre."""

    connector: float  # with stake and hole
    take_off: float  # with check valve and flush end
    lateral: float  # laying a metre, without the tubing
    header: float
    small: float


@cache
def emitter_types() -> tuple[EmitterType, ...]:
    """Give the generic emitters (``data/irrigation_catalogue.toml``)."""
    return tuple(
        EmitterType(
            f"{r['kind']} {r['flow_gph'] * GALLON / 3600 / LPH:.2f} L/h",
            r["kind"] == "compensating",
            r["flow_gph"] * GALLON / 3600,
            head_of_psi(r["at_psi"]),
            r["exponent"],
            head_of_psi(r["lowest_psi"]),
            head_of_psi(r["highest_psi"]),
            r["variation"],
            r["price"],
        )
        for r in rows("irrigation_catalogue", "emitter")
    )


@cache
def tubing() -> tuple[Tubing, ...]:
    """Give the generic tubing, narrowest first."""
    found = (
        Tubing(
            f"{1e3 * r['bore_in'] * INCH:.1f} mm bore",
            r["use"] == "small",
            r["bore_in"] * INCH,
            head_of_psi(r["highest_psi"]),
            r["price_m"],
        )
        for r in rows("irrigation_catalogue", "tubing")
    )
    return tuple(sorted(found, key=lambda t: t.bore))


@cache
def prices() -> Prices:
    """Give prices of fittings with the hours that go with them."""
    minute = rows("irrigation_catalogue", "wage")[0]["an_hour"] / 60
    cost = {
        r["part"]: r["price"] + r["minutes"] * minute
        for r in rows("irrigation_catalogue", "fitting")
    }
    return Prices(
        cost["connector, stake and hole"],
        cost["take-off, check valve and flush end"],
        cost["metre of lateral"],
        cost["metre of header"],
        cost["metre of small tubing"],
    )
