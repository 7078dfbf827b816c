"""Friction in pipes and drip tubing: factors by regime and formula, and the losses they give."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from hillwright import given
from hillwright.arrays import Array
from hillwright.irrigation.losses import (
    GRAVITY,
    LAMINAR,
    TURBULENT,
    DarcyWeisbach,
    hazen_williams_si,
    transition,
)
from hillwright.irrigation.tables import GPM, INCH
from hillwright.method import method

FACTORS = ("regime", "colebrook regime", "colebrook", "swamee-jain", "blasius", "measured pe")


class Factor(NamedTuple):
    """A Darcy friction factor and how it changes."""

    factor: Array
    slope: Array


@method(
    title="Darcy friction factor",
    equation="64/Re to Re 2000; Dunlop's cubic to 4000; above it Swamee-Jain "
    "f = 0.25/log10(e/3.7 + 5.74/Re^0.9)^2, Colebrook "
    "1/sqrt(f) = -2 log10(e/3.7 + 2.51/(Re sqrt(f))), Blasius "
    "0.3164/Re^0.25, or 0.300/Re^0.25 as measured on small PE laterals",
    source="EPANET 2.2 User Manual (Rossman et al. 2020) ch. 12, with the engine's sign in the "
    "cubic; Colebrook 1939; Rettore Neto et al., J. BIOENG 19 (0.300)",
)
def friction_factor(
    reynolds: ArrayLike, relative_roughness: ArrayLike = 0.0, formula: str = "regime"
) -> Factor:
    """Give the friction factor of a pipe.

    Parameters
    ----------
    reynolds : (n,) array
        Reynolds number of the mean velocity. [-]
    relative_roughness : (n,) array
        Roughness over bore. [-]
    formula : str
        "regime" as networks are solved (64/Re, cubic, Swamee-Jain), "colebrook regime" (64/Re to
        2000, Colebrook above), or one formula alone: "colebrook", "swamee-jain", "blasius",
        "measured pe". [text]

    Returns
    -------
    factor : (n,) array
        f of h = f L/D v2/2g. [-]
    slope : (n,) array
        df/dRe. [-]

    Raises
    ------
    OutOfRange
        A Reynolds number of 0 or below, a roughness below 0 or above 0.1, an unknown formula.

    Notes
    -----
    Blasius holds for smooth pipe at Re 3,000 to 100,000; the measured one at 6,000 to 72,000 in
    bores of 10 to 20 mm. Between 2,000 and 4,000 no formula is sure.
    """
    kind = given.one_of("formula", formula, FACTORS)
    re, e = np.broadcast_arrays(
        given.above_zero("reynolds", reynolds),
        given.within(
            "relative_roughness", relative_roughness, 0.0, 0.1, "give roughness over bore"
        ),
    )
    if kind in ("blasius", "measured pe"):
        f = (0.3164 if kind == "blasius" else 0.300) * re**-0.25
        return Factor(f, -0.25 * f / re)
    if kind == "swamee-jain":
        return Factor(*_swamee_jain(re, e))
    f, slope = _colebrook(re, e) if "colebrook" in kind else _swamee_jain(re, e)
    if kind == "colebrook":
        return Factor(f, slope)
    low = re < LAMINAR
    if kind == "regime":
        x1, x2, x3, x4 = transition(e / 3.7)
        r = re / LAMINAR
        middle = (re >= LAMINAR) & (re < TURBULENT)
        f = np.where(middle, x1 + r * (x2 + r * (x3 + r * x4)), f)
        slope = np.where(middle, (x2 + r * (2 * x3 + r * 3 * x4)) / LAMINAR, slope)
    return Factor(np.where(low, 64 / re, f), np.where(low, -64 / re**2, slope))


def _swamee_jain(re: Array, e: Array) -> tuple[Array, Array]:
    y1 = 5.74 / re**0.9
    y = e / 3.7 + y1
    log = np.log(y)
    f = 0.25 * np.log(10.0) ** 2 / log**2
    return f, 1.8 * f * y1 / (re * log * y)


def _colebrook(re: Array, e: Array) -> tuple[Array, Array]:
    """Solve for x = 1/sqrt(f) by Newton's method; convex, so it never fails."""
    a, b, k = e / 3.7, 2.51 / re, 2 / np.log(10.0)
    x = 1 / np.sqrt(_swamee_jain(re, e)[0])
    for _ in range(30):
        inside = a + b * x
        off = x + k * np.log(inside)
        step = off / (1 + k * b / inside)
        x = x - step
        if np.all(np.abs(step) < 1e-15 * np.abs(x)):
            break
    inside = a + b * x
    # x + k ln(a + b x) = 0 differentiated by Re, b being 2.51/Re
    dx = k * b * x / (re * inside) / (1 + k * b / inside)
    return np.asarray(x**-2), np.asarray(-2 * x**-3 * dx)


@method(
    title="Friction loss in a pipe, Darcy-Weisbach",
    equation="h = (f L/D + K) v^2 / 2g",
    source="EPANET 2.2 User Manual (Rossman et al. 2020), Table 3.1 and ch. 12",
)
def friction_loss(
    flow: ArrayLike,
    bore: ArrayLike,
    length: ArrayLike,
    roughness: ArrayLike = 1.5e-6,
    viscosity: float = 1.0032e-6,
    formula: str = "regime",
    minor: ArrayLike = 0.0,
    gravity: float = GRAVITY,
) -> Array:
    """Give the head that a pipe's flow loses.

    Parameters
    ----------
    flow : (n,) array
        In the pipe. [m3/s]
    bore, length : (n,) array
        Inside diameter and length. [m], [m]
    roughness : (n,) array
        Of the wall; new plastic where none is given. [m]
    viscosity : float
        Kinematic; of water at 20 deg C where none is given. [m2/s]
    formula : str
        As of `friction_factor`. [text]
    minor : (n,) array
        Sum of the fittings' K. [-]
    gravity : float
        Standard where none is given; EPANET takes 32.2 ft/s2. [m/s2]

    Returns
    -------
    head_loss : (n,) array
        Over the length. [m]

    Raises
    ------
    OutOfRange
        A negative flow, a bore or viscosity of 0 or below.
    """
    q, d, long, rough, k = np.broadcast_arrays(
        given.at_least_zero("flow", flow),
        given.above_zero("bore", bore),
        given.at_least_zero("length", length),
        given.at_least_zero("roughness", roughness),
        given.at_least_zero("minor", minor),
    )
    nu, g = (
        float(given.above_zero(n, v)) for n, v in (("viscosity", viscosity), ("gravity", gravity))
    )
    if given.one_of("formula", formula, FACTORS) == "regime":
        long, d, rough, k, q = (np.array(v, float) for v in (long, d, rough, k, q))
        return DarcyWeisbach.of(long.ravel(), d.ravel(), rough.ravel(), k.ravel(), nu, g)(
            q.ravel()
        )[0].reshape(q.shape)
    re = 4 * q / (np.pi * d * nu)
    f = friction_factor(np.where(re > 0, re, 1.0), rough / d, formula).factor
    return np.asarray((f * long / d + k) * 8 * q**2 / (np.pi**2 * g * d**4))


HAZEN_WILLIAMS = ("epanet", "us psi", "us ft")


@method(
    title="Friction loss in a pipe, Hazen-Williams",
    equation="h = 4.727 C^-1.852 d^-4.871 L q^1.852 (ft, ft3/s); p = 4.52 Q^1.85/(C^1.85 d^4.87) "
    "psi/ft; or 0.2083 (100/C)^1.852 Q^1.852/d^4.8655 ft/100 ft (gpm, in)",
    source="EPANET 2.2 User Manual (Rossman et al. 2020), Table 3.1; fire protection practice; "
    "plastic pipe design sheet",
)
def hazen_williams(
    flow: ArrayLike, bore: ArrayLike, length: ArrayLike, c: ArrayLike = 150.0, form: str = "epanet"
) -> Array:
    """Give the head that a pipe's flow loses, by the old formula of waterworks.

    Parameters
    ----------
    flow : (n,) array
        In the pipe. [m3/s]
    bore, length : (n,) array
        Inside diameter and length. [m], [m]
    c : (n,) array
        Coefficient of smoothness. [-]
    form : str
        "epanet", as this program uses; "us psi" and "us ft" as other pages print it. [text]

    Returns
    -------
    head_loss : (n,) array
        Over the length; the form in psi at 62.4 lb/ft3. [m]

    Raises
    ------
    OutOfRange
        A negative flow, a bore or C of 0 or below.

    Notes
    -----
    For bores of 1 in and more at 1 to 3 m/s. In drip tubing it is unsafe: up to 4.5 times too low.
    """
    kind = given.one_of("form", form, HAZEN_WILLIAMS)
    q, d = given.at_least_zero("flow", flow), given.above_zero("bore", bore)
    long, smooth = given.at_least_zero("length", length), given.above_zero("c", c)
    if kind == "epanet":
        return np.asarray(hazen_williams_si() * smooth**-1.852 * d**-4.871 * long * q**1.852)
    gpm, inches = q / GPM, d / INCH
    if kind == "us psi":
        psi_per_ft = 4.52 * gpm**1.85 / (smooth**1.85 * inches**4.87)
        return np.asarray(psi_per_ft * 144 / 62.4 * long)
    return np.asarray(0.2083 * (100 / smooth) ** 1.852 * gpm**1.852 / inches**4.8655 / 100 * long)


BLASIUS = {"0.465": (0.465, "L/h"), "7.89e7": (7.89e7, "L/s"), "0.133": (0.133, "gpm")}


@method(
    title="Loss gradient of drip tubing, Blasius in working units",
    equation="J = 0.465 Q^1.75 D^-4.75 (L/h, mm, m/m); J = 7.89e7 Q^1.75/D^4.75 (L/s, mm, "
    "m/100 m); J = 0.133 Q^1.75/D^4.75 (gpm, in, ft/100 ft)",
    source="openHydraulics course, drip lateral scripts (0.465); Keller and Bliesner 1990, "
    "Sprinkle and Trickle Irrigation (7.89e7, 0.133; from memory)",
)
def blasius_gradient(flow: ArrayLike, bore: ArrayLike, form: str = "0.465") -> Array:
    """Give the head lost for each length of smooth small pipe.

    Parameters
    ----------
    flow : (n,) array
        In the pipe. [m3/s]
    bore : (n,) array
        Inside diameter, below 125 mm. [m]
    form : str
        The factor as its source prints it: "0.465", "7.89e7" or "0.133". [text]

    Returns
    -------
    gradient : (n,) array
        Head for length. [-]

    Raises
    ------
    OutOfRange
        A negative flow, a bore of 0 or below, an unknown form.

    Notes
    -----
    Turbulent flow in smooth pipe near 20 deg C, Re 3,000 to 100,000.
    """
    kind = given.one_of("form", form, tuple(BLASIUS))
    q, d = given.at_least_zero("flow", flow), given.above_zero("bore", bore)
    factor = BLASIUS[kind][0]
    if kind == "0.465":
        return np.asarray(factor * (q * 3.6e6) ** 1.75 * (d * 1e3) ** -4.75)
    if kind == "7.89e7":
        return np.asarray(factor * (q * 1e3) ** 1.75 * (d * 1e3) ** -4.75 / 100)
    return np.asarray(factor * (q / GPM) ** 1.75 * (d / INCH) ** -4.75 / 100)


@method(
    title="Reduction coefficient of a line with outlets",
    equation="F = sum(i^m) / N^(m+1); F_half = (2 N F - 1)/(2 N - 1)",
    source="Christiansen 1942, Irrigation by Sprinkling; Jensen and Fratini 1957",
)
def christiansen(outlets: ArrayLike, exponent: float = 1.852, first: str = "full") -> Array:
    """Give the share of the loss that a line has when its flow leaves at equal outlets on the way.

    Parameters
    ----------
    outlets : (n,) int array
        Number of outlets, equally far apart. [-]
    exponent : float
        Of the flow in the loss formula. [-]
    first : str
        Where the first outlet is: a "full" or a "half" spacing from the inlet. [text]

    Returns
    -------
    factor : (n,) array
        Of the loss with all the flow going to the end. [-]

    Raises
    ------
    OutOfRange
        Less than one outlet, an exponent below 1.

    Notes
    -----
    Equal outflow: at most 3 % off within the usual pressure variation. For a sketch, not for the
    final check.
    """
    n = np.asarray(given.above_zero("outlets", outlets))
    m = float(given.within("exponent", exponent, 1.0, 3.0))
    half = given.one_of("first", first, ("full", "half")) == "half"
    counts = np.atleast_1d(np.round(n)).astype(int)
    sums = np.cumsum(np.arange(1, counts.max() + 1, dtype=float) ** m)
    f = sums[counts - 1] / counts ** (m + 1.0)
    if half:
        f = (2 * counts * f - 1) / (2 * counts - 1)
    return np.asarray(f.reshape(np.shape(n)))
