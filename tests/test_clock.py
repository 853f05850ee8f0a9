"""Ship's time along a voyage, over the meridian of 180 degrees either way. Expected values: D."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from passage.sailings.clock import carried_on_deg, ship_zone_h


@pytest.mark.parametrize(
    ("places", "carried", "zone_h"),
    [
        ([174.2], 174.2, 12),
        ([174.2, 179.0, -178.0, -174.0], 186.0, 12),  # Opua to Tonga: UTC+12 all the way, no date twice
        ([-174.0, -178.0, 179.0], -181.0, -12),
        ([170.0, -170.0, -150.0, -120.0], 240.0, 16),
        ([18.4, 5.0, -5.7], -5.7, 0),
        ([-7.6, -7.4], -7.4, 0),
    ],
)
def test_clocks_go_on_counting_past_the_dateline(places: list[float], carried: float, zone_h: int) -> None:
    assert carried == pytest.approx(carried_on_deg(places))
    assert zone_h == ship_zone_h(carried_on_deg(places))


@given(st.lists(st.floats(-180.0, 179.0), min_size=1, max_size=20))
def test_longitude_is_carried_on_as_numpy_unwraps_it(places: list[float]) -> None:
    """T: numpy.unwrap; half a turn exactly may go either way."""
    if not any(abs(abs(step) - 180.0) < 1e-6 for step in np.diff(places)):
        assert np.unwrap(places, period=360.0)[-1] == pytest.approx(carried_on_deg(places), abs=1e-9)
