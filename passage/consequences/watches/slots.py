"""The half hours that a day of watches is cut into; half hour 0 begins at midnight of ship's time."""

from __future__ import annotations

SLOTS_PER_DAY = 48
NOON = SLOTS_PER_DAY // 2
SLOT_H = 0.5
