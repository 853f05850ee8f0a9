"""How long an ocean of 3,000 miles takes to search, and how that grows with the lattice: under two seconds at half a
degree on two cores. Land, limits and the climate are all asked, as a voyage asks them.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np
import pytest

from passage.crossings.estimate import estimate_polar
from passage.crossings.helm import Vessel
from passage.crossings.search.expected import ExpectedSpeeds
from passage.crossings.search.find import Search, find_track
from passage.crossings.search.labels import set_labels
from passage.crossings.search.lattice import MOVES, edges_of, lay_lattice
from passage.crossings.search.lines import between
from passage.crossings.search.region import Ends
from passage.crossings.search.walls import Days, Walls
from passage.crossings.speed import speed_table
from passage.inputs.climate import read_climate
from passage.inputs.search import Prices, TrackLimits
from tests.boat_cases import hull
from tests.crossing_cases import helm
from tests.search_cases import Steady

if TYPE_CHECKING:
    from pytest_benchmark.fixture import BenchmarkFixture

DEPART = datetime(2027, 12, 10, tzinfo=UTC)
OCEAN = Ends(36.8, -9.2, 13.3, -59.2)  # Cape St Vincent to Barbados, invented ends at sea: 2,993 nm direct
LIMITS = TrackLimits(prices=Prices(cyclone_season=1.0))


@pytest.mark.parametrize("spacing_nm", [30.0, 15.0, 7.5])
def test_three_thousand_miles(benchmark: BenchmarkFixture, spacing_nm: float) -> None:
    vessel = Vessel(speed_table(estimate_polar(hull(9.6))), helm())
    climate = read_climate()

    def search() -> float:
        speeds = ExpectedSpeeds(climate, vessel, DEPART, LIMITS.prices)
        return find_track(Search(OCEAN, speeds, LIMITS, DEPART, spacing_nm=spacing_nm)).distance_nm

    assert 2900.0 < benchmark.pedantic(search, rounds=3, warmup_rounds=1) < 3600.0


WALLS = Walls(Days(DEPART), None)
LATTICE = lay_lattice(OCEAN, 30.0, 900.0, 300.0)


def test_the_lattice_alone_at_half_a_degree(benchmark: BenchmarkFixture) -> None:
    """Labels of every node at a steady speed: what the peer below answers too."""
    edges = edges_of(LATTICE, WALLS)
    labels = benchmark(set_labels, LATTICE, edges, Steady(5.0), WALLS)
    assert np.isfinite(labels.cost_h).all()


def test_a_peer_on_the_same_lattice(benchmark: BenchmarkFixture) -> None:
    """Dijkstra's method as scipy has it, compiled and static, given every edge's cost beforehand."""
    from scipy.sparse import csr_matrix
    from scipy.sparse.csgraph import dijkstra

    edges = edges_of(LATTICE, WALLS)
    start, move = np.nonzero(edges.allowed)
    end = start + np.array([along * LATTICE.across + across for along, across in MOVES])[move]
    hours = between(LATTICE.normal[start], LATTICE.normal[end]).distance_nm / 5.0
    graph = csr_matrix((hours, (start, end)), shape=(LATTICE.nodes, LATTICE.nodes))
    answer = benchmark(dijkstra, graph, indices=LATTICE.start)
    ours = set_labels(LATTICE, edges, Steady(5.0), WALLS)
    assert answer.tolist() == pytest.approx(ours.cost_h.tolist(), rel=1e-9)
