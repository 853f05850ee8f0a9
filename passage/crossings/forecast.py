"""A forecast on top of the climate, by weight.

Take the forecast's departure from the mean, F - m, as correlated with the truth by the weight w. The wind then is

    m + w (F - m) + sqrt(1 - w^2) x (the climate's own deviation)

so that its spread is what the climate leaves open: nothing where the forecast is trusted wholly, all of it where it is
not trusted at all, and over all forecasts the climate's spread at every lead. The weight falls from 1 at the time of
issue along a cosine, passes one half and reaches nil where the voyage file says. Past the file's last hour its last
field fades as weather does, with the fast e-folding, so that nothing jumps where the file ends.
"""

from __future__ import annotations

from datetime import UTC, timedelta
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.wind import FAST_EFOLDING_H

if TYPE_CHECKING:
    from datetime import datetime

    from numpy.typing import NDArray

    from passage.inputs.forecast import TrackForecast

NEGLIGIBLE = 0.005  # a weight below which the forecast is left out


def lead_weight(lead_h: float, half_h: float, none_h: float) -> float:
    """Weight of a forecast ``lead_h`` after its issue: 1 at first, 0.5 at ``half_h``, 0 from ``none_h`` on."""
    if lead_h >= none_h:
        return 0.0
    bend = np.log(0.5) / np.log(half_h / none_h)
    return float(0.5 + 0.5 * np.cos(np.pi * (max(lead_h, 0.0) / none_h) ** bend))


def serves(forecast: TrackForecast, depart: datetime) -> bool:
    """Whether the departure lies within the forecast's hours and before it has lost its weight."""
    aged_h = (depart - forecast.issued) / timedelta(hours=1)
    return forecast.first <= depart <= forecast.last and aged_h < forecast.no_weight_after_h


class Blend:
    """A forecast as a departure meets it, hour by hour; columns (nodes of each forecast member in turn)."""

    def __init__(self, forecast: TrackForecast, depart: datetime) -> None:
        self._forecast = forecast
        self._age_h = (depart - forecast.issued) / timedelta(hours=1)
        start = np.datetime64(depart.astimezone(UTC).replace(tzinfo=None), "s")
        self._steps_h = (forecast.valid - start) / np.timedelta64(3600, "s")

    def weight(self, hour: int) -> float:
        """Weight at an hour after departure; 0 once negligible, and then for good."""
        rules = self._forecast
        weight = lead_weight(self._age_h + hour, rules.half_weight_after_h, rules.no_weight_after_h)
        past_h = max(hour - float(self._steps_h[-1]), 0.0)
        weight *= float(np.exp(-past_h / FAST_EFOLDING_H))
        return weight if weight >= NEGLIGIBLE else 0.0

    def table(self, hour: int, plain: NDArray[np.float32]) -> NDArray[np.float32]:
        """The climate's table of the hour (rows, nodes) with the forecast on top, (rows, members x nodes)."""
        step = int(np.clip(np.searchsorted(self._steps_h, hour, side="right") - 1, 0, len(self._steps_h) - 2))
        begin, end = self._steps_h[step], self._steps_h[step + 1]
        part = np.float32(np.clip((hour - begin) / (end - begin), 0.0, 1.0))
        weight = np.float32(self.weight(hour)) * self._forecast.covered
        table = np.tile(plain, (1, self._forecast.members))
        for row, field in enumerate((self._forecast.wind_east_kn, self._forecast.wind_north_kn)):
            wind = (1 - part) * field[:, step] + part * field[:, step + 1]  # (members, nodes)
            table[row] += (weight * (wind - plain[row])).reshape(-1)
        table[2:4] *= np.tile(np.sqrt(1 - weight * weight), self._forecast.members)
        return table
