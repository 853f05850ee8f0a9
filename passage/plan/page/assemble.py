"""The page put together: the tables' numbers, the plan's own drawings, one style and one script, in a single file.

Nothing is fetched: the policy in its head forbids every request, and lets only the one style and the one script run,
named by their hashes. What a person wrote is text wherever it stands. The same outcome, made on the same day, gives the
same bytes.
"""

from __future__ import annotations

import json
from base64 import b64encode
from hashlib import sha256
from html import escape
from importlib.resources import files
from math import isfinite
from string import Template
from typing import TYPE_CHECKING, Any

from passage import __version__
from passage.consequences.watches.lookout import CAUTION as LOOK_OUT
from passage.crossings.search.choices import TrackKind
from passage.draw.chart import Way, draw_chart
from passage.follows import watches_of
from passage.hidden import uncovered, uncovered_json
from passage.inputs.output import write_out
from passage.plan.charts import way_of
from passage.plan.face import FONTS
from passage.plan.foot import CAUTION, FORECAST_CAUTION, fingerprint
from passage.plan.page.days import days_told, rough_words
from passage.plan.page.fans import fan_html, fans
from passage.plan.page.fleet import fleet, other_departures, other_tracks, track_on
from passage.plan.page.marks import moon_marks, turn_marks
from passage.plan.sheets import front, power, when
from passage.plan.sheets.basis import forecast_counts
from passage.plan.sheets.cautions import DEFERS, NO_BATTERY, NO_FOOD
from passage.plan.sheets.times import NOT_REACHED
from passage.plan.svg import labelled
from passage.tell.customary import unit_words
from passage.tell.figures import PrintedDate, amount, moment_words
from passage.troubles.breakage import breakage_of
from passage.troubles.refuges import sail_ways_out, sail_whole_ways

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from pathlib import Path

    from passage.draw.chart import Chart
    from passage.offered import Offered
    from passage.plan.page.days import Words
    from passage.road import Outcome

WIDE_PT = 300.0  # of the drawings: on a phone their letters are still read
CHART_HIGH_PT = 460.0
FACES = {"normal": "B612-Regular.otf", "bold": "B612-Bold.otf"}


def write_page(outcome: Outcome, path: Path, chosen: Sequence[Offered] = ()) -> int:
    """Write the page of ``outcome`` to ``path``, with tracks to choose between; how many bytes it has comes back."""
    content = page_html(outcome, chosen)
    write_out(path, content, outcome.facts)
    return len(content)


def page_html(outcome: Outcome, chosen: Sequence[Offered] = ()) -> bytes:
    """The page, UTF-8; a function of the outcome, the day its facts were read, and the versions.

    chosen: tracks sailed by the same crossings from the same day, as ``choosing.choose`` brings them.
    """
    days = days_told(outcome)
    last_day = len(days) - 1
    chart, track, tracks = _drawn(outcome, chosen, last_day)
    style, script = _style(), _part("page.js")
    boats, starts = fleet(outcome.crossings, last_day), other_departures(outcome, outcome.once(when.around), last_day)
    turns = turn_marks(outcome)
    data = {
        "days": days,
        "track": {**track, "distance": f"{amount(outcome.ground.track.length_nm, 'nm')}"},
        "planned": boats,
        "water": _water_left(outcome, boats["drawn"]),
        "water_unit": unit_words("litres"),
        "others": [*starts, *tracks],
        "moons": moon_marks(outcome, last_day),
        "turns": [turn.mark for turn in turns if turn.mark["day"] <= last_day],
    }
    page = Template(_part("page.html")).substitute(
        policy=_policy(style, script),
        style=style,
        script=script,
        data=_inert(data),
        chart=labelled(chart, "Chart of the track"),
        fans="".join(fan_html(fan, WIDE_PT) for fan in fans(outcome, WIDE_PT)),
        last_day=last_day,
        first_day=_middle_day(outcome, last_day),
        rows=_rows(days),
        starts="".join(map(_start_html, starts)),
        tracks="".join(map(_start_html, tracks)),
        tracks_hidden="" if tracks else "hidden",
        scanned=min(outcome.times.crossings, when.SCANNED),
        turning="".join(f"<li>{escape(turn.words)}</li>" for turn in turns),
        turning_hidden="" if turns else "hidden",
        **{name: escape(words) for name, words in _words(outcome, boats["drawn"]).items()},
        **_paragraphs(outcome),
    )
    return uncovered(page).encode()


# ---------------------------------------------------------------- what keeps it safe


def _policy(style: str, script: str) -> str:
    """Content Security Policy, level 2: no request of any kind, and nothing runs but this."""
    return (
        f"default-src 'none'; style-src '{_hash(style)}'; script-src '{_hash(script)}'; img-src data:; font-src data:; "
        "base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    return f"sha256-{b64encode(sha256(text.encode()).digest()).decode('ascii')}"


def _inert(data: Any) -> str:
    """JSON in which no tag can begin."""
    written = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return uncovered_json(written).replace("<", "\\u003c")


def _part(name: str) -> str:
    return (files("passage.plan.page") / name).read_text(encoding="utf-8")


def _style() -> str:
    """The style with the plan's own face in it."""
    return "".join(_face(weight, name) for weight, name in FACES.items()) + _part("page.css")


def _face(weight: str, name: str) -> str:
    font = b64encode((FONTS / name).read_bytes()).decode("ascii")
    source = f'url(data:font/otf;base64,{font})format("opentype")'
    return f'@font-face{{font-family:"B612";font-weight:{weight};src:{source}}}\n'


# ---------------------------------------------------------------- the chart


def page_chart(outcome: Outcome) -> tuple[str, dict[str, Any]]:
    """The plan's chart without days, for the script moves them, SVG; and the track on it."""
    chart = _chart(outcome, ())
    return _framed(chart), track_on(outcome.ground.track, chart)


KEPT = (page_chart, watches_of, breakage_of, sail_whole_ways, when.around)  # on disk, for the next time
FOUND = (sail_ways_out,)  # taken where a plan has left it there


def _drawn(
    outcome: Outcome, chosen: Sequence[Offered], last_day: int
) -> tuple[str, dict[str, Any], list[dict[str, Any]]]:
    """The chart, the track on it, and the other tracks as the script wants them."""
    if not chosen:
        return *outcome.once(page_chart), []
    chart = _chart(outcome, chosen)
    tracks = other_tracks(outcome, chosen, chart, last_day)
    return _framed(chart), track_on(outcome.ground.track, chart), tracks


def _chart(outcome: Outcome, chosen: Sequence[Offered]) -> Chart:
    """The other tracks with their numbers, where there are any; names too have numbers where there is no room."""
    drawn = next((f"track {one.number}" for one in chosen if TrackKind.AS_DRAWN in one.kinds), "")
    others = [
        Way(one.outcome.ground.track, (), (), f"track {one.number}")
        for one in chosen
        if TrackKind.AS_DRAWN not in one.kinds
    ]
    return draw_chart([way_of(outcome, drawn)._replace(days=()), *others], WIDE_PT, CHART_HIGH_PT)


def _framed(chart: Chart) -> str:
    """The drawing with the frame that the script's specks keep within."""
    left, top, right, bottom = chart.frame
    rect = f'<rect x="{left:.1f}" y="{top:.1f}" width="{right - left:.1f}" height="{bottom - top:.1f}"/>'
    svg = chart.svg()
    start = svg.index(">") + 1
    return f'{svg[:start]}<clipPath id="frame">{rect}</clipPath>{svg[start:]}'


def _middle_day(outcome: Outcome, last_day: int) -> int:
    """The day on which it opens: half of a typical passage is over, and most are at sea."""
    typical_days = outcome.times.typical_days
    return min(max(round(typical_days / 2.0), min(1, last_day)), last_day) if isfinite(typical_days) else last_day // 2


def _water_left(outcome: Outcome, drawn: int) -> list[int | None]:
    """Litres at landfall of each crossing drawn, below nothing what lacks; None for who never arrives."""
    store = outcome.stores.water.store
    left = (store.left[:drawn] * store.per_own).tolist()
    return [int(litres // 1) if isfinite(litres) else None for litres in left]


def _start_html(start: dict[str, Any]) -> str:
    """A departure or a track to choose."""
    name = escape(start["name"])
    pressed, planned = ("true", "; as planned") if start["planned"] else ("false", "")
    named = f'aria-pressed="{pressed}" aria-label="Show the crossings of {name}"'
    disabled = "" if start["planned"] or start["fleet"] else " disabled"
    button = f'<button type="button" class="live" {named}{disabled}>Show</button>'
    why = f" {escape(start['why'])}" if "why" in start else ""
    return f"<div><p><b>{name}</b> {escape(start['words'])}{planned}.{why}</p>{button}</div>"


# ---------------------------------------------------------------- words


def _words(outcome: Outcome, drawn: int) -> dict[str, str]:
    """Texts of the page that do not change with the day, not yet escaped."""
    facts, times, made = outcome.facts, outcome.times, outcome.facts.today
    ends = {
        "quick": (times.quick_days, times.quick_landfall_utc),
        "typical": (times.typical_days, times.typical_landfall_utc),
        "slow_end": (times.slow_end_days, times.slow_end_landfall_utc),
    }
    return {
        "voyage": facts.voyage.departure.name,
        "start": facts.voyage.waypoints[0].name,
        "end": facts.voyage.waypoints[-1].name,
        "distance": f"{amount(outcome.ground.track.length_nm, 'nm')}",
        "boat": facts.boat.hull.name,
        "crew": front.crew_words([person.role for person in facts.crew.people]),
        "sails": moment_words(outcome.crossings.depart),
        "crossings": f"{times.crossings}",
        "drawn": f"{drawn:,}",
        **{f"{name}_days": f"{days:u}" if isfinite(days) else "not reached" for name, (days, _) in ends.items()},
        **{f"{name}_landfall": f"{landfall}" if landfall else NOT_REACHED for name, (_, landfall) in ends.items()},
        "slow_end_in": f"{times.slow_end_in}",
        "caution": FORECAST_CAUTION if forecast_counts(outcome) else CAUTION,
        "made": f"{PrintedDate(made.year, made.month, made.day)}",
        "version": __version__,
        "fingerprint": fingerprint(facts),
        "seed": f"{outcome.crossings.seed}",
        "litres": unit_words("litres"),
        "no_nights": "" if outcome.power else NO_BATTERY,
        "no_food": "" if outcome.stores.food.said else NO_FOOD,
    }


def _paragraphs(outcome: Outcome) -> dict[str, str]:
    """Lists of sentences as paragraphs."""
    rough, breakage = rough_words(outcome.watches), outcome.once(breakage_of)
    broken = front.broken_words(breakage.answer if breakage else None)
    never, cyclones = front.never_words(outcome.times), front.cyclone_words(*front.cyclones(outcome))
    return {
        "never": _paragraph_html(filter(None, [never, broken])),
        "look_out": _paragraph_html([*([rough] if rough else []), LOOK_OUT]),
        "left_out": _paragraph_html([cyclones, *front.left_out(outcome)]),
        "defers": _paragraph_html([DEFERS, *(power.CAUTIONS if outcome.power else ())]),
    }


def _paragraph_html(sentences: Iterable[str]) -> str:
    return "".join(f"<p>{escape(words)}</p>" for words in sentences)


COLUMNS = (
    "go", "go_span", "in", "water", "water_span", "food", "food_span", "battery", "battery_span", "sunrise", "sunset",
)  # fmt: skip


def _rows(days: list[Words]) -> str:
    return "".join(_row(day["day"], day["words"]) for day in days)


def _row(day: int, words: Words) -> str:
    cells = "".join(f"<td>{escape(words[name])}</td>" for name in COLUMNS)
    return (
        f'<tr data-day="{day}"><th scope="row">{day}</th><td class="date">{escape(words["date"])}</td>{cells}'
        f'<td class="place">{escape(words["at"])}</td></tr>\n'
    )
