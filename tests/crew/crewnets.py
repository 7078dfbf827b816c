"""Invented networks and projects for the tests."""

import numpy as np
from hypothesis import strategies as st

from hillwright.crew.project import Project, Times, project_of


@st.composite
def networks(draw, most=9):
    """Durations and successors (from 1) of a network without rings."""
    n = draw(st.integers(1, most))
    durations = draw(st.lists(st.integers(0, 7), min_size=n, max_size=n))
    successors = [
        sorted(draw(st.sets(st.integers(i + 1, n), max_size=3))) if i < n else []
        for i in range(1, n + 1)
    ]
    return durations, successors


@st.composite
def projects(draw, most=8):
    durations, successors = draw(networks(most))
    capacities = draw(st.lists(st.integers(1, 4), min_size=1, max_size=2))
    demands = [[draw(st.integers(0, c)) for c in capacities] for _ in durations]
    return {
        "durations": durations,
        "demands": demands,
        "successors": successors,
        "capacities": capacities,
    }


def holds(project: Project, times: Times) -> bool:
    """Tell whether a schedule keeps to order, releases and capacities."""
    used = np.zeros_like(project.capacity)
    finish = []
    for i in range(project.count):
        mode = project.modes[i][times.mode[i]]
        at = int(times.start[i])
        if at < project.release[i] or at + mode.duration > project.horizon:
            return False
        used[:, at : at + mode.duration] += np.array(mode.demand, int)[:, None]
        finish.append(at + mode.duration)
    ordered = all(
        times.start[j] >= finish[i] for i, after in enumerate(project.successors) for j in after
    )
    return ordered and bool((used <= project.capacity).all()) and max(finish) == times.makespan


__all__ = ["holds", "networks", "project_of", "projects"]
