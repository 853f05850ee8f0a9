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

import os
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from passage.consequences.times import until_in
from passage.crossings.wind import Luck
from passage.ground import lay_ground
from passage.inputs.changes import changed
from passage.inputs.folder import Facts as Facts
from passage.inputs.folder import read_folder
from passage.road import CROSSINGS as CROSSINGS
from passage.road import SEED as SEED
from passage.road import Outcome, walk
from passage.tell.customary import UNITS, Units
from passage.tell.records import Rows

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from datetime import date

    from matplotlib.figure import Figure

    from passage.comparing import Tried
    from passage.consequences.power.power import Power
    from passage.crossings.ground import Ground
    from passage.crossings.pairs import Fit
    from passage.inputs.answers import Question as Question
    from passage.offered import Offered
    from passage.plan.document import Paper
    from passage.plan.editions import Edition
    from passage.plan.sheets.before import NewFolder, SoundFolder, TwoFolders
    from passage.plan.sheets.first import Begun
    from passage.plan.sheets.foods import Foods
    from passage.plan.sheets.season import SeasonTold
    from passage.plan.sheets.speed import BoatSpeed
    from passage.plan.sheets.verified import Verified
    from passage.plan.sheets.when import Departures
    from passage.real_years import RealYears
    from passage.reanalysis.build import Built
    from passage.steps import Steps
    from passage.tell.records import Record
    from passage.tracks import Comparison
    from passage.troubles.breakage import Breakage


class Sailing(Outcome):
    """The crossings of one departure, and what follows from them; made by ``passage.sail``.

    ``facts``: what the folder says; ``crossings``: all of them, ``crossings.to_xarray()`` gives an ``xarray.Dataset``.
    Each part is worked out when it is first asked for: ``times``, ``bracket``, ``wind_sea``, ``stores``, ``power``,
    ``watches``, ``readiness``, ``anchor``, ``services``, ``float_plan``; None where the folder does not say enough.
    """

    @property
    def breakage(self) -> Breakage | None:
        """The same crossings as boats break; None where the troubles file says that nothing does."""
        from passage.troubles.breakage import breakage_of

        return self.once(breakage_of)

    def days(self) -> Rows[Any]:
        """Where 8 crossings in 10 are at the end of each day out, until 99 in 100 are in; one row a day."""
        return Rows(until_in(self.by_day))

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
        """The plan's own chart as a matplotlib figure on a cartopy axis, with where 8 crossings in 10 are by day."""
        from passage.draw.chart import Besides, draw_chart
        from passage.plan.charts import WIDE_PT, way_of

        return draw_chart([way_of(self)], WIDE_PT, WIDE_PT, Besides(inset=True)).figure

    def __repr__(self) -> str:
        return f"Sailing of {self.facts.voyage.departure.name!r}, {self.crossings!r}"

    def _repr_html_(self) -> str:
        from passage.plan.sheets.front import summary, table
        from passage.tell.web import html

        return html(summary(table(self)))


def read(folder: str | Path, today: date | None = None) -> Facts:
    """Everything that a voyage folder says. today: against which gear and papers are held; the computer's if left out.

    What is told from then on is printed in the units of her boat's file. Raises InputFaults with every fault of every
    file at once.
    """
    return _in_her_units(read_folder(Path(folder), today))


def _in_her_units(facts: Facts) -> Facts:
    UNITS.set(Units(facts.boat.hull.units))
    return facts


def unbreakable(voyage: Facts) -> Facts:
    """The voyage of a boat in which nothing breaks."""
    return changed(voyage, reliability__count=False)


def begin(
    folder: str | Path,
    answers: Mapping[str, str],
    name: str = "",
    *,
    file: Path | None = None,
    crossings: int = CROSSINGS,
    progress: Callable[[float], None] | None = None,
) -> Begun:
    """Begin a voyage from a few answers: make its folder, her boat's beside it, and give the first answer.

    answers: as typed, by the keys of ``passage.inputs.answers.QUESTIONS``, defaults for those left out; file: a TOML
    file with more of them. Raises InputFaults and RouteRefused, nothing written.
    """
    from passage.beginning import begin as begun_in
    from passage.inputs.answers import answers_of
    from passage.plan.sheets.first import begun

    said = answers_of(answers, file)
    made = begun_in(Path(folder), name or f"{said.start.name} to {said.goal.name}", said)
    files = [made.boat / each for each in made.boat_files] + [made.voyage / each for each in made.voyage_files]
    boat, *seen = (os.path.relpath(each) for each in (made.boat, *files))
    return begun(sail(read(folder), crossings, progress=progress), str(folder), boat, tuple(seen))


def questions(folder: str | Path) -> Sequence[Question]:
    """What ``begin`` wants to know, each with its default; a boat that is there beside the folder is the boat's."""
    from passage.beginning import known_boat
    from passage.inputs.answers import QUESTIONS

    boat = known_boat(Path(folder))
    return [each._replace(default=str(boat)) if boat and each.key == "boat" else each for each in QUESTIONS]


def unread(question: Question, text: str) -> str:
    """Why an answer cannot be read, in a sentence; empty where it can."""
    from passage.units import Misread

    try:
        question.read(text, datetime.now(UTC).date())
    except Misread as misread:
        return str(misread)
    return ""


def is_boat(text: str) -> bool:
    """Whether the answer to the question for the boat names the folder of one."""
    return (Path(text) / "boat.toml").is_file()


def new(folder: str | Path, name: str = "") -> NewFolder:
    """Make a commented voyage folder to edit. name: of the voyage; the folder's if empty. Raises InputFaults."""
    from passage.inputs.template import write_template
    from passage.plan.sheets.before import NewFolder

    made = Path(folder)
    files = write_template(made, name or made.resolve().name)
    return NewFolder(str(folder), tuple(path.name for path in files))


def foods(part: str = "", folder: str | Path | None = None) -> Foods:
    """Foods by a part of their name or group, from the list that comes with the tool and a voyage's or boat's own
    pantry. Raises InputFaults.
    """
    from passage.inputs.home import VOYAGE_FILE, Home, home_of
    from passage.inputs.pantry import PANTRY_FILE, STARTER, read_pantry
    from passage.inputs.toml import read_document
    from passage.plan.sheets.foods import found

    if folder is None:
        return found(read_pantry(STARTER.with_name("none")), part)
    here = Path(folder)
    home = home_of(here, read_document(here / VOYAGE_FILE)) if (here / VOYAGE_FILE).is_file() else Home(here)
    return found(read_pantry(home.path(PANTRY_FILE)), part)


def split(folder: str | Path, boat: str | Path | None = None) -> TwoFolders:
    """Part a voyage folder: the boat's files go to ``boat``, a new folder, ``FOLDER-boat`` beside it if left out.

    Raises InputFaults, nothing changed, for a folder with faults and for a boat's folder that is there already.
    """
    from passage.inputs.parting import part
    from passage.plan.sheets.before import TwoFolders

    whole = Path(folder).resolve()
    made = part(Path(folder), Path(boat) if boat else whole.with_name(f"{whole.name}-boat"))
    return TwoFolders(str(folder), str(made.boat), made.boat_files, made.voyage_files)


def check(voyage: Facts) -> SoundFolder:
    """Lay the track, try the refuges, look for land, and sail a few crossings for whatever the plan needs of them.
    Raises all that the plan would raise: InputFaults, RouteRefused, OutOfRange.
    """
    from passage.checking import try_out
    from passage.plan.sheets.before import check_table
    from passage.troubles.refuges import lay_with_refuges

    ground = lay_with_refuges(voyage)
    try_out(voyage, ground)
    return check_table(voyage, ground)


def lay(voyage: Facts, *days: datetime) -> Ground:
    """The track with all that lies along it, for departures on these days (UTC). Raises as ``sail``."""
    return lay_ground(voyage, *days)


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
    when_utc = _departs(voyage, depart)
    walked = walk(voyage, ground or lay_ground(voyage, when_utc), Luck(seed, crossings), when_utc, progress)
    return Sailing(walked.facts, walked.ground, walked.crossings)


def when(
    voyage: Facts,
    first: datetime | None = None,
    weeks: int = 52,
    crossings: int = 500,
    seed: int = SEED,
    progress: Callable[[float], None] | None = None,
    strip: Path | None = None,
    paper: Paper = "a4",
) -> Departures:
    """A year of departures, or a part of one, a week apart, sailed with the same luck; drawn as a strip to ``strip``,
    a PDF, where that is given. Raises as ``sail``.
    """
    from passage.departures import scan, weekly
    from passage.plan.sheets.when import departures

    days = weekly(_utc(first) if first else voyage.voyage.departure.depart, weeks)
    ground = lay_ground(voyage, *days)
    starts = scan(voyage, ground, Luck(seed, crossings), days, progress)
    told = departures(voyage, starts, crossings)
    if strip is None:
        return told
    from passage.plan.document import write_year  # typesetting is loaded only where it is asked for

    write_year(voyage, ground, starts, crossings, strip, paper)
    return replace(told, strip=str(strip))


def years(voyage: Facts, crossings: int = 200, seed: int = SEED, depart: datetime | None = None) -> RealYears:
    """One departure (UTC) in the months of real years, each with the same luck, beside the climatology: the shipped
    1982 to 1992, or those of the voyage's own climate file. Raises as ``sail``, and OutOfRange.
    """
    from passage.real_years import sail_years

    when_utc = _departs(voyage, depart)
    return sail_years(voyage, lay_ground(voyage, when_utc), when_utc, crossings, seed)


def track(voyage: Facts, crossings: int = CROSSINGS, seed: int = SEED, depart: datetime | None = None) -> Comparison:
    """A better track across the open sea, if there is one, sailed beside the one drawn. Raises as ``sail``."""
    from passage.tracks import better

    return better(voyage, voyage.limits, Luck(seed, crossings), _departs(voyage, depart))


def choices(
    voyage: Facts, crossings: int = CROSSINGS, seed: int = SEED, depart: datetime | None = None
) -> Sequence[Offered]:
    """Three to five tracks that differ, each sailed by the same crossings, the quickest first. Raises as ``sail``."""
    from passage.choosing import choose

    return choose(voyage, voyage.limits, Luck(seed, crossings), _departs(voyage, depart))


def compare(
    voyage: Facts,
    refits: Sequence[str],
    crossings: int = CROSSINGS,
    seed: int = SEED,
    depart: datetime | None = None,
    progress: Callable[[float], None] | None = None,
) -> Sequence[Tried]:
    """The boat as she is and with each refit by itself, sailed by the same crossings. refits: as said, such as
    ``panels 350 W for 400``, ``water +40 L``, ``performance_mean 85 %`` or the folder of another boat. Raises as
    ``sail``, and InputFaults for what is not understood.
    """
    from passage.comparing import compare as compared

    return compared(voyage, refits, Luck(seed, crossings), _departs(voyage, depart), progress)


def begin_season(folder: str | Path) -> Path:
    """Write a folder's ``season.toml``, made of the voyages in it, to edit. Raises InputFaults, nothing written."""
    from passage.seasons.begin import begin_season as begun

    return begun(Path(folder))


def season(
    folder: str | Path,
    crossings: int = 500,
    seed: int = SEED,
    *,
    progress: Callable[[float], None] | None = None,
    strip: Path | None = None,
    paper: Paper = "a4",
) -> SeasonTold:
    """The passages of a folder's ``season.toml`` one after another, as so many seasons; drawn to ``strip``, a PDF,
    where that is given. Raises InputFaults with every fault of the season and its voyages, and as ``sail``.
    """
    from passage.inputs.season_folder import read_season
    from passage.plan.sheets.season import table
    from passage.seasons.sail import sail_season

    read_whole = read_season(Path(folder))
    _in_her_units(read_whole.facts[0])
    sailed = sail_season(read_whole, crossings, seed, progress)
    told = table(sailed)
    if strip is None:
        return told
    from passage.plan.document import write_season  # typesetting is loaded only where it is asked for

    told = replace(told, strip=str(strip))
    write_season(told, sailed.season.facts, strip, paper)
    return told


def speeds(
    voyage: Facts,
    pairs: Sequence[tuple[float, float, float]] = (),
    file: Path | None = None,
    *,
    log: bool = False,
) -> BoatSpeed:
    """Her speeds in smooth water, at sea and made good. pairs: the crew's own, as wind speed (knots), true wind angle
    (degrees) and boat speed (knots); file: more of them, with the columns of a polar table; log: hold the days of the
    voyage's log against the table too. Raises InputFaults.
    """
    from passage.crossings.pairs import Pair, hold, refuse_unlikely, speeds_of
    from passage.inputs.polar import read_pairs
    from passage.plan.sheets.speed import BoatSpeed

    refuse_unlikely(pairs)
    own = [Pair(*numbers) for numbers in [*(read_pairs(file) if file else ()), *pairs]]
    tables = speeds_of(voyage.boat, voyage.polar)
    held = hold(tables, own, voyage.boat.hull.masthead_height_m)
    return BoatSpeed(voyage.boat.hull.name, tables, held, _log_days(voyage) if log else None)


def _log_days(voyage: Facts) -> Fit | None:
    from passage.crossings.at_sea import sailing_polar
    from passage.crossings.helm import rig_out
    from passage.journal.entries import standing
    from passage.journal.evidence import against_table, sailing_days
    from passage.journal.storage import read_journal

    vessel = rig_out(voyage.boat, sailing_polar(voyage.boat, voyage.polar))
    return against_table(list(sailing_days(standing(read_journal(voyage.folder).entries), vessel)))


def build_climate(
    sources: Sequence[str | Path], out: str | Path, progress: Callable[[float], None] | None = None
) -> Built:
    """A climate file of a record of hourly to 6-hourly wind at 10 m (CF NetCDF, Zarr, GRIB; any years and grid), and
    its real years, written to ``out``; read out of core. Needs the extra ``climate``. Raises InputFaults, MissingExtra.
    """
    from passage.disk import write_whole
    from passage.reanalysis.build import build_climate as built

    content, told = built([Path(each) for each in sources], str(out), progress)
    write_whole(Path(out), content)
    return told


def battery_at_anchor(
    voyage: Facts,
    position: tuple[float, float],
    days: int = 10,
    crossings: int = CROSSINGS,
    seed: int = SEED,
    start: datetime | None = None,
    heading_deg: float | None = None,
    wind_kn: float | None = None,
) -> Power:
    """The battery of a boat that lies at a latitude and longitude (degrees), under so many skies, from ``start`` (UTC;
    today's noon if left out). heading_deg, true, and wind_kn over her: the means there if left out. Raises InputFaults.
    """
    from passage.plan.sheets.power import anchor_table

    return anchor_table(voyage, position, Luck(seed, crossings), start, days, heading_deg, wind_kn)


def verify() -> Verified:
    """Published check values held against this tool on this machine."""
    from passage.plan.sheets.verified import Verified
    from passage.verify import verify as held

    return Verified(held())


def moment(text: str) -> datetime:
    """A day and hour in UTC, or a day alone for its noon, as the voyage file has it. Raises Misread."""
    from passage.inputs.voyage import departure_at

    return departure_at(text)


def position(text: str) -> tuple[float, float]:
    """Latitude and longitude in degrees, north and east positive, from any sailor's form of it. Raises Misread."""
    from passage.inputs.position import parse_position

    return parse_position(text)


def write(path: Path, content: bytes, voyage: Facts) -> None:
    """Write a file whole or not at all, and never over the voyage's own or its log. Raises InputFaults, OSError."""
    from passage.inputs.output import write_out

    write_out(path, content, voyage)


def _departs(voyage: Facts, depart: datetime | None) -> datetime:
    return _utc(depart) if depart else voyage.voyage.departure.depart


def _utc(moment: datetime) -> datetime:
    return moment if moment.tzinfo else moment.replace(tzinfo=UTC)
