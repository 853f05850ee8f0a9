"""What is to be seen to underway, by days and by engine hours since it was last done or since she sailed."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, NamedTuple

from passage.journal.reckoning import hours_between

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from passage.journal.entries import Setting
    from passage.journal.record import Entry

SOON_H = 12.0  # due before the next noon's work is over is due today


class Due(NamedTuple):
    """One thing due. late_h: hours past its time, or engine hours past them; by_engine: which of the two."""

    name: str
    late_h: float
    by_engine: bool

    @property
    def words(self) -> str:
        days = round(self.late_h / 24.0)
        if self.by_engine:
            return f"{self.name}: due by the engine's hours, {self.late_h:.0f} h past them"
        return f"{self.name}: due " + ("today" if days < 1 else f"{days} day{'s' if days > 1 else ''} ago")


def due(entries: Sequence[Entry], setting: Setting, moment: datetime) -> tuple[Due, ...]:
    """What is due at the moment, the longest overdue first. entries: standing, oldest first."""
    found = [one for name, *every in setting.upkeep for one in _due(entries, name, every, moment)]
    return tuple(sorted(found, key=lambda one: -one.late_h))


def _due(entries: Sequence[Entry], name: str, every: Sequence[float], moment: datetime) -> Iterator[Due]:
    last = next((entry for entry in reversed(entries) if name in entry.body.get("done", {})), None)
    since = last or (entries[0] if entries else None)
    if since is None:
        return
    every_h, every_engine_h = every
    ran_h = _engine_h(entries, moment) - _engine_h(entries, since.time)
    if every_h and hours_between(since.time, moment + timedelta(hours=SOON_H)) >= every_h:
        yield Due(name, hours_between(since.time, moment) - every_h, by_engine=False)
    elif every_engine_h and ran_h >= every_engine_h:
        yield Due(name, ran_h - every_engine_h, by_engine=True)


def _engine_h(entries: Sequence[Entry], moment: datetime) -> float:
    """The meter as last read up to a moment; the first reading where it was read only later, nan where never."""
    read = [entry for entry in entries if "engine_h" in entry.body]
    before = [entry for entry in read if entry.time <= moment]
    return float((before or read[:1])[-1].body["engine_h"]) if read else float("nan")
