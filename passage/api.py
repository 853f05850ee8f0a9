"""The toolkit as a library: read a voyage, sail it, ask what follows, change a fact, sail again.

::

    import passage

    v = passage.read("routes/cape-town-st-helena")
    o = passage.sail(v, crossings=1000, seed=1)
    o.times.slow_end_h / 24          # days
    o.stores.to_frame()              # a pandas frame, rounded as the plan rounds it
    o.crossings.to_xarray()          # every crossing, hour by hour, with units and CF attributes
    o.with_(water_l=250).stores      # the same crossings with another fact

What comes back are records (``passage.tell.records.Record``): their fields are numbers, ``to_json``, ``to_frame`` and
``frames`` tell them as the plan does. The commands use this and nothing else. Nothing here is a forecast, and nothing
asks a network.
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from passage.crossings.wind import Luck
from passage.ground import lay_ground
from passage.inputs.changes import changed
from passage.inputs.folder import Facts, read_folder
from passage.road import CROSSINGS, SEED, Outcome, walk
from passage.tell.records import Rows

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date

    from matplotlib.figure import Figure

    from passage.crossings.ground import Ground
    from passage.plan.editions import Edition
    from passage.plan.sheets.when import Departures
    from passage.steps import Steps
    from passage.tell.records import Record
    from passage.tracks import Comparison


class Sailing(Outcome):
    """The crossings of one departure, and what follows from them; made by ``passage.sail``.

    ``facts``: what the folder says; ``crossings``: all of them, ``crossings.to_xarray()`` gives an ``xarray.Dataset``.
    Each part is worked out when it is first asked for: ``times``, ``bracket``, ``wind_sea``, ``stores``, ``power``,
    ``watches``, ``readiness``, ``anchor``, ``services``, ``float_plan``; None where the folder does not say enough.
    """

    def days(self) -> Rows[Any]:
        """Where 8 crossings in 10 are at the end of each day out, until 99 in 100 are in; one row a day."""
        from passage.plan.sheets.times import days

        return Rows(days(self))

    def with_(self, **changes: Any) -> Sailing:
        """The same crossings, by their luck, with other facts: see ``passage.changed`` for the keys; ``depart`` is one
        too.

        Raises InputFaults for keys and values that no file may have.
        """
        depart = changes.pop("depart", self.crossings.depart)
        facts = changed(self.facts, **changes)
        return sail(facts, self.crossings.members, self.crossings.seed, depart)

    def tables(self) -> dict[str, Record]:
        """Every table of the whole plan, by sheet."""
        from passage.plan.document import plan_tables

        return dict(plan_tables(self))

    def plan(
        self,
        path: str | Path,
        paper: Literal["a4", "us-letter"] = "a4",
        edition: Edition | None = None,
        steps: Steps | None = None,
    ) -> Path:
        """Write the printed plan, or an edition of it, to ``path`` as PDF; the path comes back."""
        from passage.plan.document import write_plan
        from passage.plan.editions import WHOLE

        write_plan(self, Path(path), paper, edition or WHOLE, steps)
        return Path(path)

    def page(self, path: str | Path) -> Path:
        """Write one page for a browser to ``path``; the path comes back."""
        from passage.plan.page.assemble import write_page

        write_page(self, Path(path))
        return Path(path)

    def export(self, format: str) -> bytes:
        """The plan in an open format: gpx, geojson, ics, csv (zipped) or netcdf."""
        from importlib import import_module

        written: bytes = import_module(f"passage.plan.exports.{format}").export(self)
        return written

    def chart(self) -> Figure:
        """A matplotlib figure of the track on a cartopy axis, with where 8 crossings in 10 are by day.

        Raises MissingExtra where the extra ``notebook`` is not installed.
        """
        from passage.consequences.times import day_by_day
        from passage.draw.chart import chart

        places = [(waypoint.name, *waypoint.position) for waypoint in self.facts.voyage.waypoints]
        return chart(self.ground.track, day_by_day(self.crossings), places)

    def __repr__(self) -> str:
        return f"Sailing of {self.facts.voyage.departure.name!r}, {self.crossings!r}"

    def _repr_html_(self) -> str:
        from passage.plan.sheets.front import summary, table
        from passage.tell.web import html

        return html(summary(table(self)))


def read(folder: str | Path, today: date | None = None) -> Facts:
    """Everything that a voyage folder says. today: against which gear and papers are held; the computer's if left out.

    Raises InputFaults with every fault of every file at once.
    """
    return read_folder(Path(folder), today)


def sail(
    voyage: Facts,
    crossings: int = CROSSINGS,
    seed: int = SEED,
    depart: datetime | None = None,
    *,
    ground: Ground | None = None,
    progress: Callable[[float], None] | None = None,
) -> Sailing:
    """Sail the voyage so many times from one departure (UTC; the voyage's own if left out).

    The same seed gives the same crossings, and crossing 7 is the same however many are sailed. ground: the track
    already laid; progress: called with the share that is done. Raises InputFaults for land on a leg and a forecast out
    of time, RouteRefused for a track that cannot be sailed.
    """
    when_utc = _utc(depart) if depart else voyage.voyage.departure.depart
    walked = walk(voyage, ground or lay_ground(voyage, when_utc), Luck(seed, crossings), when_utc, progress)
    return Sailing(walked.facts, walked.ground, walked.crossings)


def _utc(moment: datetime) -> datetime:
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)


def when(
    voyage: Facts,
    first: datetime | None = None,
    weeks: int = 52,
    crossings: int = 500,
    seed: int = SEED,
    progress: Callable[[float], None] | None = None,
) -> Departures:
    """A year of departures, or a part of one, a week apart, sailed with the same luck. Raises as ``sail``."""
    from passage.departures import scan, weekly
    from passage.plan.sheets.when import departures

    days = weekly(_utc(first) if first else voyage.voyage.departure.depart, weeks)
    starts = scan(voyage, lay_ground(voyage, *days), Luck(seed, crossings), days, progress)
    return departures(voyage, starts, crossings)


def track(voyage: Facts, crossings: int = CROSSINGS, seed: int = SEED, depart: datetime | None = None) -> Comparison:
    """A better track across the open sea, if there is one, sailed beside the one drawn. Raises as ``sail``."""
    from passage.tracks import better

    when_utc = _utc(depart) if depart else voyage.voyage.departure.depart
    return better(voyage, voyage.limits, Luck(seed, crossings), when_utc)
