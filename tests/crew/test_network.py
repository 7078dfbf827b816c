"""The critical path against a graph library, and PERT."""

import networkx
import numpy as np
import pytest
from crewnets import networks
from hypothesis import given

from hillwright.crew.network import critical_path
from hillwright.crew.pert import pert_estimate, pert_path
from hillwright.errors import OutOfRange


@given(networks())
def test_the_longest_path_is_the_graph_library_s(network):
    durations, successors = network
    graph = networkx.DiGraph()
    graph.add_node(0)
    for i, after in enumerate(successors, 1):
        graph.add_edge(0, i, weight=0)
        graph.add_edge(i, "end", weight=durations[i - 1])
        for j in after:
            graph.add_edge(i, j, weight=durations[i - 1])
    found = critical_path(durations, successors)
    assert found.duration == networkx.dag_longest_path_length(graph)


@given(networks())
def test_floats_are_what_can_be_lost(network):
    durations, successors = network
    found = critical_path(durations, successors)
    assert (found.total_float >= found.free_float).all()
    assert (found.free_float >= 0).all()
    assert found.critical.any()
    for i in range(len(durations)):  # late by its float the whole is not; by more it is
        for more in (0, 1):
            late = np.array(durations, float)
            late[i] += found.total_float[i] + more
            assert critical_path(late, successors).duration == found.duration + more


def test_two_critical_paths_are_both_told():
    found = critical_path([1, 4, 4, 2, 1], [[2, 3, 4], [5], [5], [5], []])
    assert found.critical.tolist() == [True, True, True, False, True]
    assert found.free_float.tolist() == [0, 0, 0, 2, 0]


@pytest.mark.parametrize(
    ("what", "durations", "successors"),
    [
        ("ring", [1, 1], [[2], [1]]),
        ("ring", [1], [[1]]),
        ("names activity 3", [1, 1], [[3], []]),
        ("names activity 1.5", [1, 1], [[1.5], []]),
        ("1 lists beside 2", [1, 1], [[2]]),
        ("negative", [1, -1], [[2], []]),
        ("not a number", [1, np.nan], [[2], []]),
        ("not a list", [], []),
    ],
)
def test_each_wrong_network_has_its_own_message(what, durations, successors):
    with pytest.raises(OutOfRange, match=what):
        critical_path(durations, successors)


def test_all_wrong_numbers_of_a_network_come_together():
    with pytest.raises(OutOfRange) as error:
        critical_path([1, 1], [[3, 4], [0]])
    assert len(error.value.problems) == 3


def test_pert_of_certain_times_is_certain():
    assert pert_path([2, 3], [2, 3], [2, 3], 5, [1, 2]).probability == 1
    assert pert_path([2, 3], [2, 3], [2, 3], 4, [1, 2]).probability == 0


def test_of_paths_with_one_mean_the_less_certain_is_taken():
    # 1-2-4 and 1-3-4 both take 9; only 3 varies
    found = pert_path(
        [1, 6, 3, 2], [1, 6, 6, 2], [1, 6, 9, 2], 9, successors=[[2, 3], [4], [4], []]
    )
    assert found.path.tolist() == [1, 3, 4]
    assert found.variance == 1
    assert found.probability == 0.5


@pytest.mark.parametrize(
    ("what", "call"),
    [
        ("do not go up", lambda: pert_estimate(3, 2, 4)),
        ("do not go up", lambda: pert_estimate(-1, 2, 4)),
        ("same length", lambda: pert_estimate([1, 2], [1, 2, 3], [2, 3, 4])),
        ("neither a path nor a network", lambda: pert_path([1], [1], [1], 2)),
        ("not there", lambda: pert_path([1], [1], [1], 2, [2])),
        ("twice", lambda: pert_path([1, 1], [1, 1], [1, 1], 2, [2, 2])),
        ("not a number", lambda: pert_path([1], [1], [1], np.inf, [1])),
    ],
)
def test_each_wrong_estimate_has_its_own_message(what, call):
    with pytest.raises(OutOfRange, match=what):
        call()
