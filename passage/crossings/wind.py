"""Honest wind: how far it strays from the monthly mean, and for how long.

At a place and month the wind is an isotropic bivariate normal about its vector mean, so that its speed is Rice
distributed; the spread ``sigma`` comes from the vector and the scalar mean together (``inputs.rice``). A deviation
lasts: it is the sum of a fast part (weather, e-folding 36 h) and a slow one (the season's own character, e-folding
120 days), both first-order autoregressions of *standardised* deviations, so that a boat sailing from one climate into
another takes her luck with her.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

# Design figures: tropical moored buoys (variance of 20-day means) and month-to-month spread of monthly means.
FAST_EFOLDING_H = 36.0
SLOW_EFOLDING_H = 120.0 * 24.0
SLOW_SHARE_TROPICS = 0.12  # within 20 degrees of the equator
SLOW_SHARE_ELSEWHERE = 0.03  # from 30 degrees poleward
CHUNK_H = 240


def slow_share(lat_deg: NDArray[np.float64]) -> NDArray[np.float64]:
    """Share of the wind's variance that lasts for months; same shape as the latitude."""
    return np.interp(np.abs(lat_deg), [20.0, 30.0], [SLOW_SHARE_TROPICS, SLOW_SHARE_ELSEWHERE])


@dataclass
class Luck:
    """The standardised wind deviations and the performance draws of every crossing: a pure function of the seed.

    Member ``i`` draws from its own spawned stream, so it has the same luck whatever the number of members, the date
    of departure or the track. Rows are made in chunks when first asked for and kept, so that other departures and
    troubles meet the same luck for nothing.
    """

    seed: int
    members: int
    performance_z: NDArray[np.float64] = field(init=False)
    _streams: list[np.random.Generator] = field(init=False, repr=False)
    _state: NDArray[np.float32] = field(init=False, repr=False)
    _chunks: list[NDArray[np.float32]] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        children = np.random.SeedSequence(self.seed).spawn(self.members)
        self._streams = [np.random.Generator(np.random.SFC64(child)) for child in children]
        first = np.stack([stream.standard_normal(5) for stream in self._streams], axis=1)
        self.performance_z = first[0]
        self._state = first[1:].astype(np.float32)  # stationary start: the deviations have unit variance from hour 0
        self._chunks = []

    def hour(self, hour: int) -> NDArray[np.float32]:
        """Deviations at a whole hour after departure, (4, members): fast east, fast north, slow east, slow north."""
        while hour >= CHUNK_H * len(self._chunks):
            self._chunks.append(self._next_chunk())
        return self._chunks[hour // CHUNK_H][hour % CHUNK_H]

    def _next_chunk(self) -> NDArray[np.float32]:
        rows = np.empty((CHUNK_H, 4, self.members), dtype=np.float32)
        for member, stream in enumerate(self._streams):
            rows[:, :, member] = stream.standard_normal((CHUNK_H, 4), dtype=np.float32)
        efolding = np.array([FAST_EFOLDING_H, FAST_EFOLDING_H, SLOW_EFOLDING_H, SLOW_EFOLDING_H])
        keep = np.exp(-1.0 / efolding).astype(np.float32)[:, None]
        renew = np.sqrt(1.0 - keep**2)
        for row in rows:
            self._state = keep * self._state + renew * row
            row[:] = self._state
        return rows
