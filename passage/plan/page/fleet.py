"""The crossings as a chart can move them: the track on paper, and where each is along it at the end of every day."""

from __future__ import annotations

from base64 import b64encode
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.consequences.times import day_by_day
from passage.crossings.ensemble import first_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.ensemble import Crossings
    from passage.draw.chart import Chart

    Floats = NDArray[np.float64]

MOST_DRAWN = 1000
MOST_POSITIONS = 75_000  # two bytes each, so that a voyage of months keeps the page small
WHOLE = 65_535  # the track's length


def fleet(crossings: Crossings, days: int, chart: Chart) -> dict[str, Any]:
    """What the page's script draws on the chart.

    nodes: x and y by turns of points an even distance apart along the track, tenths of a point. places: little-endian
    16-bit shares of the track's length in ``WHOLE``, base64, all crossings on day 0, then on day 1 and so on. spread:
    least, typical, most share of the track of 8 crossings in 10 by day.
    """
    drawn = first_of(crossings, min(MOST_DRAWN, max(MOST_POSITIONS // (days + 1), 1)))
    return {
        "drawn": drawn.members,
        "whole": WHOLE,
        "nodes": np.round(10.0 * _on_paper(crossings, chart)).astype(int).ravel().tolist(),
        "places": b64encode(_places(drawn, days).tobytes()).decode("ascii"),
        "spread": _spread(crossings, days),
    }


def _on_paper(crossings: Crossings, chart: Chart) -> Floats:
    """The track's nodes (n, 2) on the chart."""
    track = crossings.track
    return chart.xy(track.lat_deg, np.unwrap(track.lon_deg, period=360.0))


def _places(drawn: Crossings, days: int) -> NDArray[np.uint16]:
    """[days + 1, crossings]: a boat still at sea is never rounded into harbour."""
    hours = np.minimum(24 * np.arange(days + 1), drawn.hours - 1)
    share = np.clip(drawn.distance_nm[:, hours].T / drawn.track.length_nm, 0.0, 1.0)
    whole = np.minimum(np.round(WHOLE * share), WHOLE - 1)
    return np.where(drawn.arrival_h <= 24.0 * np.arange(days + 1)[:, None], WHOLE, whole).astype("<u2")


def _spread(crossings: Crossings, days: int) -> list[list[float]]:
    length_nm = crossings.track.length_nm
    runs = [(day.least_run_nm, day.typical_run_nm, day.most_run_nm) for day in day_by_day(crossings)[:days]]
    return [[0.0, 0.0, 0.0], *([round(run / length_nm, 5) for run in day] for day in runs)]
