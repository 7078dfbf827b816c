"""The public EPANET engine, run on a file that this program wrote."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from epanet import toolkit


def run(path: Path, nodes: int) -> tuple[np.ndarray, np.ndarray]:
    """Give heads of the nodes and flows of the pipes, in their order, in m and m3/s."""
    project = toolkit.createproject()
    toolkit.open(project, str(path), str(path.with_suffix(".rpt")), "")
    toolkit.setoption(project, toolkit.ACCURACY, 1e-8)
    toolkit.solveH(project)
    heads = np.array([toolkit.getnodevalue(project, i, toolkit.HEAD) for i in range(1, nodes + 1)])
    flows = np.array([toolkit.getlinkvalue(project, i, toolkit.FLOW) for i in range(1, nodes)])
    toolkit.close(project)
    toolkit.deleteproject(project)
    # the engine lists junctions first and the reservoir last
    return np.append(heads[-1], heads[:-1]), np.append(0.0, flows / 6e4)
