"""A fleet told to people: who comes in when, how many berths that takes, when to worry, and who runs short of what."""

from __future__ import annotations

from datetime import date, datetime
from functools import partial
from html import escape
from typing import TYPE_CHECKING

from passage.plan.sheets.cautions import DEFERS
from passage.plan.svg import TINT, Canvas
from passage.tell.blocks import Blocks, Drawing, Grid, Head, Say, Sketch, Title, grid, note, strong
from passage.tell.figures import DASH, day_words
from passage.tell.records import Record, reckoned, told, up
from passage.tell.sketch import Upright, fan
from passage.tell.web import html

if TYPE_CHECKING:
    from collections.abc import Sequence

MOST_SHORT, TALL = 4, 4  # rows of a table and lines of the drawing in the short answer
MOST_DRAWN = 12  # landfalls
WIDE_PT, HIGH_PT, FOOT_PT, LEFT_PT = 460.0, 130.0, 26.0, 26.0
SAME_LUCK = (
    "Every boat of a departure meets the same winds in the same crossing, and has as good or bad a passage as the "
    "others: the truth lies between that and each boat for herself. Told is the worse of the two, of 19 times in 20."
)
WORRY = (
    "The day to begin to ask is the slow end and what the float plan adds; agree it with each crew before they sail."
)


class ArrivalDay(Record):
    """One day at the landfall."""

    day_utc: date = told("the day, UTC")
    expected_boats: float = told("boats that come in on it, on average", places=1)
    most_boats: int = up("boats that come in on it or fewer, 19 times in 20")
    in_boats: float = told("boats that are in by its end, on average", places=1)
    berths: int = up("boats that are in by its end or fewer, 19 times in 20: berths, where all of them stay")
    out_boats: int = up("boats still out at its end or fewer, 19 times in 20")


class Landfall(Record):
    """The boats of one departure on one track in one climate, as they come in. Dates are null where not reached."""

    track: str = told("folder of the voyage")
    depart_utc: datetime = told("departure, UTC")
    climate: str = told("averages, or the real year")
    boats: int = told("boats that were sailed")
    first_utc: date | None = told("the first of them may be in on this day: 1 time in 20 she is")
    half_utc: date | None = told("half of them are in by then, on average")
    nine_in_10_utc: date | None = told("nine in ten of them are in by then, on average")
    last_utc: date | None = told("the last is in by then 19 times in 20")
    busiest_utc: date | None = told("day on which most may come in")
    most_boats: int = up("boats that come in on that day or fewer, 19 times in 20")
    days: tuple[ArrivalDay, ...] = told("every day from the first to the last")


class BoatRow(Record):
    """One boat: the worst of all her cells."""

    boat: str = told("her name, or that of her folder")
    short_in_100: float = up("of 100 crossings, those that run out of the store she is shortest of")
    store: str = told("which store that is; empty where none runs out")
    gone_day: float = told("days out on which it is gone, in the middle one of these crossings")
    lacking: str = told("how much too little of it is aboard by the loading rules; empty: none")
    battery_low_in_100: float = up(
        "of 100 crossings, those whose battery falls below its floor, little sun; null: none"
    )
    battery_empty_in_100: float = up("of 100 crossings, those whose battery is emptied, little sun; null: no battery")
    never_in_100: float = up("of 100 crossings, those that never arrive")
    motoring_h: float = told("hours under engine, mean of the crossings")
    typical_days: float = told("days that half her crossings take no longer than")
    slow_end_days: float = up("days to her slow end")
    worry_days: float = told("days out after which to begin to ask after her")
    worry_utc: date | None = told("that day for the first departure; null where not reached")
    worst_on: str = told("the cell of her slow end: track, departure, climate, as far as there are several")


class Unsailed(Record):
    """Cells of one boat that were not sailed for one reason."""

    boat: str = told("her name, or that of her folder")
    track: str = told("folder of the voyage")
    cells: int = told("how many cells")
    why: str = told("the reason, in a sentence")


class FleetTold(Record):
    """The answer of a fleet."""

    fleet: str = told("its name")
    crossings: int = told("how many crossings were sailed in each cell")
    seed: int = told("the luck")
    boats: int = told("boats in the table")
    tracks: int = told("tracks")
    departures: int = told("departures")
    climates: int = told("climates: averages and real years")
    sailed: int = told("cells that were sailed")
    landfalls: tuple[Landfall, ...] = told("one for each track, departure and climate")
    by_boat: tuple[BoatRow, ...] = told("every boat, who runs short most often first")
    unsailed: tuple[Unsailed, ...] = told("what was not sailed, and why")
    not_counted: tuple[str, ...] = told("stores of which no boat's files say how much is aboard")
    store: str = told("folder of the Zarr store with every figure")
    written: tuple[str, ...] = told("other files that were written", default=())

    @reckoned("cells of the table")
    def cells(self) -> int:
        return self.boats * self.tracks * self.departures * self.climates


# ---------------------------------------------------------------- words


def _what(told: FleetTold) -> str:
    axes = (
        (told.boats, "boat"),
        (told.tracks, "track"),
        (told.departures, "departure"),
        (told.climates, "climate"),
    )
    many = ", ".join(f"{number} {word}{'s' if int(number) != 1 else ''}" for number, word in axes)
    lost = f" {strong(f'{told.cells - told.sailed} of {told.cells} cells are not sailed')}." if told.unsailed else ""
    return f"{told.fleet}: {many}; {told.crossings} crossings of each, seed {told.seed}.{lost}"


def _days(day: date | None) -> str:
    return f"{day_words(day)} {day.year}" if day else "not reached"


def _coming(landfall: Landfall) -> str:
    return (
        f"Leaving {day_words(landfall.depart_utc)}: first boat from {_days(landfall.first_utc)}, half in by "
        f"{_days(landfall.half_utc)}, nine in ten by {_days(landfall.nine_in_10_utc)}, the last by "
        f"{strong(_days(landfall.last_utc))}. Up to {strong(landfall.most_boats)} may come in on one day, "
        f"{_days(landfall.busiest_utc)}."
    )


def _called(landfall: Landfall, told: FleetTold) -> str:
    """What tells it from the others."""
    parts = [landfall.track] if int(told.tracks) > 1 else []
    parts += [_days(landfall.depart_utc)] if int(told.departures) > 1 or not parts else []
    return ", ".join([*parts, *([landfall.climate] if int(told.climates) > 1 else [])])


# ---------------------------------------------------------------- cards


def fleet_short(told: FleetTold) -> Blocks:
    """A dozen and a half lines: when they come, who runs short, who was not sailed."""
    one = told.landfalls[0] if len(told.landfalls) == 1 else None
    return (
        Head("Fleet"),
        Say(_what(told)),
        Head("Landfall"),
        *((Say(_coming(one)), Sketch(partial(_sketch, one))) if one else (_landfalls(told, MOST_SHORT),)),
        _boats(told.by_boat[:MOST_SHORT], short=True),
        Head("Not sailed"),
        Say(_unsailed_words(told)),
        Head("Written"),
        Say(", ".join((told.store, *told.written))),
    )


def fleet_card(told: FleetTold) -> Blocks:
    """All of it: every landfall by day, every boat."""
    drawn = told.landfalls[:MOST_DRAWN]
    return (
        Title(told.fleet),
        Say(_what(told)),
        Head("Landfalls"),
        _landfalls(told, len(told.landfalls)),
        note(SAME_LUCK),
        *(block for number, landfall in enumerate(drawn) for block in _one_landfall(number, landfall, told)),
        Head("By boat"),
        _boats(told.by_boat, short=False),
        note(f"The worst of each boat's cells; who runs short most often stands first. {WORRY}"),
        Say(_not_counted(told)),
        Head("Not sailed"),
        grid(
            told.unsailed,
            ("boat", lambda row: row.boat, "left"),
            ("cells", lambda row: row.cells),
            ("why", lambda row: row.why, "left 1fr"),
        ),
        Head("Mind"),
        Say(f"Not a forecast. {DEFERS}"),
        Head("Written"),
        Say(", ".join((told.store, *told.written))),
    )


def _one_landfall(number: int, landfall: Landfall, told: FleetTold) -> Blocks:
    return (
        Head(_called(landfall, told)),
        Say(_coming(landfall)),
        Drawing(f"landfall-{number}", f"Boats that come in by day: {_called(landfall, told)}."),
        grid(
            landfall.days,
            ("day", lambda row: _days(row.day_utc), "left"),
            ("come in,\non average", lambda row: row.expected_boats),
            ("at most,\n19 in 20", lambda row: strong(row.most_boats)),
            ("in by then,\non average", lambda row: row.in_boats),
            ("berths,\n19 in 20", lambda row: strong(row.berths)),
            ("still out,\n19 in 20", lambda row: row.out_boats),
        ),
    )


def _landfalls(told: FleetTold, most: int) -> Grid:
    """The latest last boat first where not all are shown."""
    rows = list(told.landfalls)
    if len(rows) > most:
        rows = sorted(rows, key=lambda row: (row.last_utc is not None, row.last_utc and -row.last_utc.toordinal()))[
            :most
        ]
    left = len(told.landfalls) - len(rows)
    table = grid(
        rows,
        ("leaving", lambda row: _called(row, told), "left"),
        ("first", lambda row: _date(row.first_utc)),
        ("half", lambda row: _date(row.half_utc)),
        ("9 in 10", lambda row: _date(row.nine_in_10_utc)),
        ("last", lambda row: strong(_date(row.last_utc))),
        ("busiest", lambda row: _date(row.busiest_utc)),
        ("boats\nthen", lambda row: strong(row.most_boats)),
    )
    more = ((f"and {left} more whose last boat is in earlier on the day or before",),) if left else ()
    return Grid(table.columns, (*table.rows, *more))


def _date(day: date | None) -> str:
    return f"{day.day} {day:%b}" if day else DASH


def _boats(rows: Sequence[BoatRow], *, short: bool) -> Grid:
    more = (
        ()
        if short
        else (
            ("gone on\nday", lambda row: row.gone_day),
            ("too little\nby", lambda row: row.lacking),
            ("motor,\nh", lambda row: row.motoring_h),
            *((("slowest", lambda row: row.worst_on, "left"),) if any(row.worst_on for row in rows) else ()),
        )
    )
    return grid(
        rows,
        ("boat", lambda row: row.boat, "left"),
        ("short,\n/100", lambda row: strong(row.short_in_100)),
        ("of", lambda row: row.store, "left"),
        ("battery low,\n/100", lambda row: row.battery_low_in_100),
        ("typical,\ndays", lambda row: row.typical_days),
        ("slow end,\ndays", lambda row: row.slow_end_days),
        ("ask from", lambda row: _date(row.worry_utc)),
        *more,
    )


def _unsailed_words(told: FleetTold) -> str:
    said = [f"{row.boat}: {row.why.rstrip('.')}." for row in told.unsailed[:2]]
    left = len(told.unsailed) - len(said)
    return " ".join([*said, f"And {left} more."] if left > 0 else said)


def _not_counted(told: FleetTold) -> str:
    if not told.not_counted:
        return ""
    return f"Not counted, for no boat's files say how much is aboard: {', '.join(told.not_counted)}."


# ---------------------------------------------------------------- pictures


def _sketch(landfall: Landfall, wide: int) -> tuple[str, ...]:
    uprights = [Upright(0.0, float(day.expected_boats), float(day.most_boats)) for day in landfall.days]
    feet = [_date(day.day_utc) if not number % 7 else "" for number, day in enumerate(landfall.days)]
    return fan(
        uprights, feet, "Boats that come in by day: # on average, : 19 times in 20 no more", wide, foot=0.0, tall=TALL
    )


def drawings(told: FleetTold) -> dict[str, str]:
    """SVG by name, one for each landfall that is drawn."""
    return {f"landfall-{number}": draw(each) for number, each in enumerate(told.landfalls[:MOST_DRAWN])}


def draw(landfall: Landfall) -> str:
    """Bars for the mean of each day, a stroke up to what 19 times in 20 is not exceeded, weeks along the foot."""
    sheet = Canvas(WIDE_PT, HIGH_PT + FOOT_PT)
    most = max((int(day.most_boats) for day in landfall.days), default=1) or 1
    each = (WIDE_PT - LEFT_PT) / max(len(landfall.days), 1)

    def high(boats: float) -> float:
        return HIGH_PT - (HIGH_PT - 14.0) * boats / most

    for height in sorted({0, most // 2, most}):
        sheet.line([(LEFT_PT, high(height)), (WIDE_PT, high(height))], 0.3)
        sheet.text(LEFT_PT - 4.0, high(height) + 3.0, str(height), anchor="end")
    for number, day in enumerate(landfall.days):
        left, top = LEFT_PT + number * each, high(float(day.expected_boats))
        right = left + 0.8 * each
        sheet.path(f"M{left:.2f} {HIGH_PT:.2f}V{top:.2f}H{right:.2f}V{HIGH_PT:.2f}Z", 0.5, TINT)
        middle = (left + right) / 2.0
        sheet.line([(middle, top), (middle, high(float(day.most_boats)))], 1.2)
        if not number % 7:
            sheet.text(left, HIGH_PT + 12.0, _date(day.day_utc))
    sheet.text(LEFT_PT, 9.0, "boats a day: bar on average, stroke 19 times in 20 no more")
    return sheet.svg()


def picture(told: FleetTold) -> str:
    """The landfalls under one another, as one SVG."""
    drawn = [draw(each) for each in told.landfalls[:MOST_DRAWN]]
    step = HIGH_PT + FOOT_PT + 14.0
    whole = Canvas(WIDE_PT, step * len(drawn))
    for number, (svg, landfall) in enumerate(zip(drawn, told.landfalls, strict=False)):
        inner = svg.partition(">")[2].removesuffix("</svg>")
        whole.text(LEFT_PT, step * number + 10.0, _called(landfall, told), bold=True)
        whole.parts.append(f'<g transform="translate(0 {step * number + 14.0:.1f})">{inner}</g>')
    return whole.svg()


STYLE = (
    "body{font:15px/1.45 sans-serif;max-width:62em;margin:1.5em auto;padding:0 1em;color:#000;background:#fff}"
    "table{border-collapse:collapse;font-variant-numeric:tabular-nums;display:block;overflow-x:auto}"
    "th,td{padding:.15em .6em;border-bottom:1px solid #ccc;text-align:left;vertical-align:bottom}"
    ".right{text-align:right}.right,td:first-child{white-space:nowrap}"
    ".note{font-size:.85em}figure{margin:.6em 0}svg{max-width:100%;height:auto}"
)


def page(told: FleetTold) -> str:
    """One file for a browser that asks for nothing; the same for the same answer."""
    body = html(fleet_card(told), drawings(told))
    policy = "default-src 'none'; style-src 'unsafe-inline'"
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{escape(told.fleet)}</title>\n'
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">\n'
        f'<meta name="viewport" content="width=device-width"><style>{STYLE}</style></head>\n'
        f"<body>{body}</body></html>\n"
    )
