"""A solved drip network as an EPANET input file: an open format, so that anybody can check it.

That engine has one exponent for all emitters. The commonest one among those that follow pressure
is written as it is; an emitter that compensates, or follows another exponent, is written as the
demand that it gives in this solution, and the file says how many there are.
"""

from __future__ import annotations

from collections import Counter

import numpy as np

from hillwright.irrigation.network import Network, Solution

VISCOSITY = 1.1e-5 * 0.3048**2  # that the engine takes for 1 [m2/s]
_LPM = 6e4  # litres a minute in 1 m3/s


def inp(
    network: Network,
    solution: Solution,
    title: str,
    viscosity: float,
    names: tuple[str, ...] = (),
    places: tuple[tuple[float, float], ...] = (),
) -> str:
    """Give the text of an EPANET input file for one valve's network.

    Parameters
    ----------
    network : Network
        The tree.
    solution : Solution
        Its steady flow; heads and demands are taken from it.
    title : str
        First line of the file.
    viscosity : float
        Kinematic, of the water [m2/s].
    names : tuple of str
        Of the nodes; numbered where there are none. No blanks, 31 signs at most.
    places : tuple of (float, float)
        Where the nodes are drawn.
    """
    n = len(network.parent)
    label = list(names) or ["source", *(f"n{i}" for i in range(1, n))]
    o = network.outlets
    over = solution.outlet_pressure >= o.onset
    power = np.where(over, o.above, o.below)
    coefficient = o.nominal * o.onset**-power
    follows = (power > 0) & (solution.outlet_pressure > 0)
    exponents = Counter(np.round(power[follows], 6).tolist())
    exponent = exponents.most_common(1)[0][0] if exponents else 0.5
    follows &= np.round(power, 6) == exponent
    demand, emitter = np.zeros(n), np.zeros(n)
    np.add.at(demand, o.node[~follows], solution.outlet_flow[~follows] * _LPM)
    np.add.at(emitter, o.node[follows], coefficient[follows] * _LPM)
    fixed = int((~follows).sum())
    said = [
        title,
        f"Flows in litres a minute, heads in metres. {int(follows.sum())} emitters follow pressure "
        f"with the exponent {exponent:g}.",
    ]
    if fixed:
        said.append(
            f"{fixed} emitters compensate or follow another exponent: written as the demands that "
            "they give at this source head."
        )
    lines = ["[TITLE]", *said, "", "[JUNCTIONS]", ";ID Elevation Demand"]
    lines += [f"{label[i]} {network.elevation[i]:.9g} {demand[i]:.10g}" for i in range(1, n)]
    lines += ["", "[RESERVOIRS]", ";ID Head", f"{label[0]} {solution.head[0]:.10g}"]
    lines += ["", "[PIPES]", ";ID Node1 Node2 Length Diameter Roughness MinorLoss Status"]
    lines += [
        f"p{i} {label[network.parent[i]]} {label[i]} {network.length[i]:.9g} "
        f"{1e3 * network.bore[i]:.9g} {1e3 * network.roughness[i]:.6g} {network.minor[i]:.6g} Open"
        for i in range(1, n)
    ]
    lines += ["", "[EMITTERS]", ";Junction Coefficient"]
    lines += [f"{label[i]} {emitter[i]:.10g}" for i in range(1, n) if emitter[i] > 0]
    lines += [
        "",
        "[OPTIONS]",
        "UNITS LPM",
        "HEADLOSS D-W",
        f"VISCOSITY {viscosity / VISCOSITY:.10g}",
        f"EMITTER EXPONENT {exponent:g}",
        # a compensating exponent needs more rounds than the engine takes unasked
        "TRIALS 2000",
        "ACCURACY 0.00001",
        "FLOWCHANGE 0.0000001",
        "",
        "[TIMES]",
        "DURATION 0",
        "",
    ]
    if places:
        lines += ["[COORDINATES]", ";Node X Y"]
        lines += [f"{a} {x:.4f} {y:.4f}" for a, (x, y) in zip(label, places, strict=True)]
        lines.append("")
    return "\n".join([*lines, "[END]", ""])
