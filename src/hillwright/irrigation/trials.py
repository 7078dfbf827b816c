"""Standard networks solved whole, to hold the solver against other engines and other people."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from hillwright import given
from hillwright.arrays import Array
from hillwright.errors import OutOfRange
from hillwright.irrigation.chains import Chains
from hillwright.irrigation.combs import comb, comb_network
from hillwright.irrigation.friction import christiansen
from hillwright.irrigation.losses import Loss, PowerLaw
from hillwright.irrigation.network import Network, Outlets, Solution
from hillwright.irrigation.solve import Prepared, darcy_weisbach, prepare, solve
from hillwright.irrigation.tables import GPM
from hillwright.irrigation.uniformity import low_quarter
from hillwright.method import method

EPANET_GRAVITY = 32.2 * 0.3048  # compiled into that engine [m/s2]
EPANET_VISCOSITY = 1.1e-5 * 0.3048**2  # its default [m2/s]
LAWS = ("darcy-weisbach", "hazen-williams", "blasius form")
COURSE = 0.465  # factor of the Blasius form in L/h, mm and m/m


def with_law(
    network: Network,
    law: str,
    smoothness: float = 150.0,
    gravity: float = EPANET_GRAVITY,
    viscosity: float = EPANET_VISCOSITY,
) -> Prepared:
    """Prepare a network with a named law of loss, with the constants of EPANET."""
    kind = given.one_of("law", law, LAWS)
    chains = Chains.of(network.parent)
    length, bore, minor = (
        chains.gathered(a) for a in (network.length, network.bore, network.minor)
    )
    loss: Loss
    if kind == "darcy-weisbach":
        loss = darcy_weisbach(network, chains, viscosity, gravity)
    elif kind == "hazen-williams":
        loss = PowerLaw.hazen_williams(length, bore, smoothness, minor)
    else:
        loss = PowerLaw.blasius_form(length, bore, minor, COURSE)
    return prepare(network, loss)


class Comb(NamedTuple):
    """A comb of laterals at steady flow."""

    inflow: float
    q_min: float
    q_mean: float
    q_max: float
    low_quarter_du: float
    cv: float
    min_pressure: float
    max_pressure: float
    q_first_emitter: float
    q_last_emitter_last_row: float
    head_last_emitter: float
    flow: Array
    first_of_rows: Array
    last_of_rows: Array
    below_onset: int


@method(
    title="Steady flow of laterals on a manifold down or up a slope",
    equation="flows at a node sum to 0; h_i - h_j = loss(Q_ij); q = k p^x, or nominal "
    "from the onset on",
    source="Newton's method on the tree (own solver); laws of loss and constants as in EPANET 2.2",
)
def comb_flow(
    rows: int,
    emitters_per_row: int,
    spacing: float,
    lateral_id: float,
    manifold_id: float,
    row_gap: float,
    drop_per_row: float,
    first_pipe: float,
    source_head: float,
    k: float = 0.0,
    x: float = 0.5,
    along_row_fall: float = 0.0,
    nominal: float = 0.0,
    onset: float = 0.0,
    above: float = 0.0,
    law: str = "darcy-weisbach",
    roughness: float = 1.5e-6,
    smoothness: float = 150.0,
    minor: float = 0.0,
) -> Comb:
    """Solve a comb: a manifold along the fall line and a lateral at each of its nodes.

    Parameters
    ----------
    rows, emitters_per_row : int
        Laterals, and emitters on each. [-]
    spacing : float
        Between emitters along a lateral. [m]
    lateral_id, manifold_id : float
        Bores. [m], [m]
    row_gap, drop_per_row : float
        Between laterals, level and down; a negative drop climbs. [m], [m]
    first_pipe : float
        From the source to the first lateral. [m]
    source_head : float
        Over the first lateral. [m]
    k : float
        Flow of an emitter at a head of 1 m; 0 for compensating ones. [m3/s]
    x : float
        Its exponent. [-]
    along_row_fall : float
        Of the laterals away from the manifold, fall over length. [-]
    nominal : float
        Flow of a compensating emitter; 0 for others. [m3/s]
    onset : float
        Its onset pressure. [m]
    above : float
        Its exponent above the onset; 0 compensates perfectly. [-]
    law : str
        "darcy-weisbach", "hazen-williams" or "blasius form". [text]
    roughness : float
        Of all pipes. [m]
    smoothness : float
        Hazen-Williams C. [-]
    minor : float
        K at each emitter on its lateral. [-]

    Returns
    -------
    inflow : float
        At the source. [m3/s]
    q_min, q_mean, q_max : float
        Of the emitters. [m3/s], [m3/s], [m3/s]
    low_quarter_du : float
        Mean of the lowest floor(n/4) emitters over the mean. [-]
    cv : float
        Standard deviation over mean. [-]
    min_pressure, max_pressure : float
        At the emitters. [m], [m]
    q_first_emitter, q_last_emitter_last_row : float
        Of the first row's first and the last row's last. [m3/s], [m3/s]
    head_last_emitter : float
        Total head at the last row's last emitter. [m]
    flow : (m,) array
        Of all emitters, row by row. [m3/s]
    first_of_rows, last_of_rows : (r,) array
        Flow of each row's first and last emitter. [m3/s], [m3/s]
    below_onset : int
        Emitters under their onset. [-]

    Raises
    ------
    OutOfRange
        A size of 0 or below, or emitters given in no way or two.

    Notes
    -----
    With the constants of EPANET (32.2 ft/s2, 1.1e-5 ft2/s), so that both can be compared.
    """
    counts = [
        int(given.above_zero(n, v))
        for n, v in (("rows", rows), ("emitters_per_row", emitters_per_row))
    ]
    parts = comb(
        counts[0],
        counts[1],
        spacing,
        lateral_id,
        manifold_id,
        row_gap,
        drop_per_row,
        first_pipe,
        along_row_fall,
    )
    network = comb_network(parts, counts[0], 1.0, 0.5)
    node = network.outlets.node
    if (nominal > 0) == (k > 0):
        what = "are given in two ways" if k > 0 else "are not given"
        raise OutOfRange("k and nominal", what, "give k and x, or nominal and onset")
    if nominal > 0:
        p = float(given.above_zero("onset", onset))
        outlets = Outlets.compensating(node, nominal, p, above)
    else:
        outlets = Outlets.power(node, k, x)
    n = len(network.parent)
    losses = np.where(np.arange(n) > counts[0], minor, 0.0)
    network = Network(
        network.parent,
        network.elevation,
        network.length,
        network.bore,
        np.full(n, roughness),
        losses,
        outlets,
    )
    return _told(solve(with_law(network, law, smoothness), source_head), network, counts)


def _told(found: Solution, network: Network, counts: list[int]) -> Comb:
    q, p = found.outlet_flow, found.outlet_pressure
    grid = q.reshape(counts)
    o = network.outlets
    below = int((p < o.onset * (1 - 1e-12)).sum()) if (o.above < o.below).any() else 0
    return Comb(
        float(q.sum()),
        float(q.min()),
        float(q.mean()),
        float(q.max()),
        low_quarter(q, "down"),
        float(q.std(ddof=min(1, len(q) - 1)) / q.mean()),
        float(p.min()),
        float(p.max()),
        float(q[0]),
        float(q[-1]),
        float(found.head[network.outlets.node[-1]]),
        q,
        grid[:, 0],
        grid[:, -1],
        below,
    )


class Lateral(NamedTuple):
    """A lateral at steady flow."""

    h_first: float
    h_min: float
    emitter_of_h_min: int
    h_last: float
    q_mean: float
    q_min: float
    q_max: float
    inflow: float
    hydraulic_eu: float
    du_lq: float
    equal_flow_error: float


@method(
    title="Drip lateral with emitters that follow pressure",
    equation="h_j = h_(j-1) - J (s + le) + S s, J = 0.465 Q^1.75 D^-4.75, q_j = k h_j^x",
    source="openHydraulics course, drip lateral script (2021); here solved to rounding",
)
def lateral_flow(
    inlet_head: float,
    emitters: int,
    k: float,
    x: float,
    spacing: float,
    inside_diameter: float,
    slope_fall: float = 0.0,
    barb_equivalent_length: float = 0.0,
) -> Lateral:
    """Solve one lateral of equally spaced emitters.

    Parameters
    ----------
    inlet_head : float
        Pressure head at the inlet. [m]
    emitters : int
        How many; the first is one spacing from the inlet. [-]
    k : float
        Emitter flow at a head of 1 m. [m3/s]
    x : float
        Its exponent. [-]
    spacing, inside_diameter : float
        Of the lateral. [m], [m]
    slope_fall : float
        Fall away from the inlet over length; negative climbs. [-]
    barb_equivalent_length : float
        That each barb adds. [m]

    Returns
    -------
    h_first, h_min : float
        Pressure head at the first emitter, and the least. [m], [m]
    emitter_of_h_min : int
        Which has it, the first is 1. [-]
    h_last : float
        At the last emitter. [m]
    q_mean, q_min, q_max : float
        Emitter flows. [m3/s], [m3/s], [m3/s]
    inflow : float
        Of the lateral. [m3/s]
    hydraulic_eu : float
        Least over mean flow. [-]
    du_lq : float
        Low quarter, n/4 by shares. [-]
    equal_flow_error : float
        By how much the loss with F and equal outflow is off. [-]

    Raises
    ------
    OutOfRange
        A size of 0 or below.
    """
    m = int(given.above_zero("emitters", emitters))
    s, d = (
        float(given.above_zero(n, v))
        for n, v in (("spacing", spacing), ("inside_diameter", inside_diameter))
    )
    le = float(given.at_least_zero("barb_equivalent_length", barb_equivalent_length))
    at = np.arange(m + 1)
    network = Network(
        (at - 1).astype(np.intp),
        np.asarray(-slope_fall * s * at, float),
        np.full(m + 1, s + le),
        np.full(m + 1, d),
        np.zeros(m + 1),
        np.zeros(m + 1),
        Outlets.power(at[1:], float(given.above_zero("k", k)), x),
    )
    found = solve(with_law(network, "blasius form"), inlet_head)
    p, q = found.outlet_pressure, found.outlet_flow
    low = int(np.argmin(p))
    lost = inlet_head - float(found.head[-1])
    gradient = COURSE * (q.sum() * 3.6e6) ** 1.75 * (1e3 * d) ** -4.75
    sketch = gradient * m * (s + le) * float(christiansen(m, 1.75))
    return Lateral(
        float(p[0]),
        float(p[low]),
        low + 1,
        float(p[-1]),
        float(q.mean()),
        float(q.min()),
        float(q.max()),
        float(q.sum()),
        float(q.min() / q.mean()),
        low_quarter(q),
        sketch / lost - 1,
    )


class Units(NamedTuple):
    """One flow in the units of EPANET."""

    gpm: Array
    lps: Array
    lpm: Array
    cmh: Array


@method(
    title="A flow in the units of an EPANET input file",
    equation="exact by the definitions of foot and gallon",
    source="international yard 1959, US gallon of 231 in3; rounded in EPANET's types.h",
)
def flow_units(flow: Array) -> Units:
    """Give a flow in the units that EPANET knows.

    Parameters
    ----------
    flow : (n,) array
        Of water. [m3/s]

    Returns
    -------
    gpm, lps, lpm, cmh : (n,) array
        Gallons a minute, litres a second and a minute, cubic metres an hour, as pure numbers. [-]
    """
    q = given.number("flow", flow)
    return Units(q / GPM, q * 1e3, q * 6e4, q * 3600)


class Constants(NamedTuple):
    """What EPANET takes where its file says nothing."""

    viscosity: float
    gravity: float


@method(
    title="Constants compiled into EPANET",
    equation="g = 32.2 ft/s2, viscosity 1.1e-5 ft2/s",
    source="EPANET 2.2, engine source types.h",
)
def epanet_water() -> Constants:
    """Give the water and gravity that EPANET takes where its file says nothing.

    Returns
    -------
    viscosity, gravity : float
        Kinematic viscosity and the pull on the water. [m2/s], [m/s2]
    """
    return Constants(EPANET_VISCOSITY, EPANET_GRAVITY)
