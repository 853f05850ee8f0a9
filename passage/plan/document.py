"""The printed plan: tables and drawings set by typst into an archival, tagged PDF with its own faces.

Nothing a person wrote is ever read as typst's markup: all of it arrives as data. The same outcome, date and
versions give the same bytes.
"""

from __future__ import annotations

import json
import math
import re
from datetime import UTC, date, datetime
from functools import partial
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal
from unicodedata import bidirectional

import numpy as np

from passage import __version__
from passage.consequences.times import day_by_day
from passage.inputs.folder import FILES
from passage.plan import figures, tables
from passage.plan.almanac import sky
from passage.plan.chart import EVERY_DAYS, Place, draw_chart
from passage.plan.face import FAMILIES, FONTS, drawable
from passage.plan.figures import Mark
from passage.plan.printed import rounded, shown
from passage.plan.safety import safety
from passage.plan.sources import sources

if TYPE_CHECKING:
    from collections.abc import Callable

    from passage.inputs.folder import Facts
    from passage.road import Outcome

Paper = Literal["a4", "us-letter"]
PAPERS_PT: dict[str, tuple[float, float]] = {"a4": (595.28, 841.89), "us-letter": (612.0, 792.0)}
MARGIN_PT = {"left": 51.0, "right": 40.0, "top": 52.0, "bottom": 58.0}  # the left one is wide enough to punch
STANDARDS = ["a-2a", "ua-1"]  # archival and accessible, at no cost
PAGES = Path(__file__).parent / "pages"
CAUTION = (
    "From climate averages: not a forecast. Official forecasts and warnings, charts, the collision regulations, "
    "the rescue services and the skipper overrule this plan."
)
CHART_FURNITURE_PT = 118.0  # heading, caption and the head of the table on the chart's page
CHART_ROW_PT = 15.5
LONGEST_WORD = 16


def plan_tables(outcome: Outcome) -> dict[str, Any]:
    """Every page's table, rounded: what ``--json`` prints and the paper shows."""
    return {
        "front": tables.front(outcome),
        "legs": tables.legs(outcome.facts, outcome.ground, outcome.crossings.depart),
        "times": tables.times(outcome),
        "water": tables.water(outcome),
        "sky": sky(outcome),
        "safety": rounded(safety(outcome)),
        "sources": sources(outcome),
    }


def write_plan(outcome: Outcome, path: Path, paper: Paper = "a4", made: date | None = None) -> None:
    """Write the plan of ``outcome`` to ``path`` as PDF; ``made``: the date to print, today (UTC) if left out."""
    path.write_bytes(plan_pdf(outcome, paper, made or datetime.now(UTC).date()))


def plan_pdf(outcome: Outcome, paper: Paper, made: date) -> bytes:
    """The plan as the bytes of a PDF; a function of its arguments, the files of the voyage and the versions only."""
    import typst

    compile_files: Any = typst.compile  # its stub does not know of files given as a dictionary
    plan = plan_tables(outcome)
    wide, high = PAPERS_PT[paper]
    furniture = {
        "paper": paper,
        "margin": MARGIN_PT,
        "faces": list(FAMILIES),
        "caution": CAUTION,
        "made_date": f"{made:%Y-%m-%d}",
        "version": __version__,
        "fingerprint": fingerprint(outcome.facts),
    }
    text_wide = wide - MARGIN_PT["left"] - MARGIN_PT["right"]
    text_high = high - MARGIN_PT["top"] - MARGIN_PT["bottom"]
    files = {f"{name}.svg": drawing for name, drawing in _drawings(outcome, plan, text_wide, text_high).items()}
    files["plan.json"] = json.dumps(_on_paper(shown({**plan, "furniture": furniture})), ensure_ascii=False)
    files |= {page.name: page.read_text(encoding="utf-8") for page in sorted(PAGES.glob("*.typ"))}
    compiled: bytes = compile_files(
        {"main.typ": files.pop("plan.typ").encode(), **{name: text.encode() for name, text in files.items()}},
        font_paths=[str(FONTS)],
        ignore_system_fonts=True,
        pdf_standards=STANDARDS,
        timestamp=datetime(made.year, made.month, made.day, tzinfo=UTC),
    )
    return compiled


def fingerprint(facts: Facts) -> str:
    """Eight hexadecimal digits of the SHA-256 of the voyage's files: another digit, another plan."""
    choice, climate = facts.boat.polar.file, facts.voyage.departure.climate
    paths = [facts.folder / name for name in FILES] + [path for path in (choice, climate) if path is not None]
    digest = sha256()
    for path in paths:
        content = path.read_bytes()
        digest.update(f"{path.name} {len(content)}\n".encode() + content)
    return digest.hexdigest()[:8]


def _on_paper(value: Any) -> Any:
    """Texts that the faces can draw, long words with places to break; booleans stay what they are."""
    if isinstance(value, dict):
        return {name: _on_paper(inner) for name, inner in value.items()}
    if isinstance(value, list):
        return [_on_paper(inner) for inner in value]
    return _breakable(drawable(value)) if isinstance(value, str) else value


def _breakable(text: str) -> str:
    """Text with places to break long words, and set apart where it runs from the right, or it would draw the numbers
    after it to its left."""
    broken = re.sub(rf"\S{{{LONGEST_WORD}}}(?=\S)", "\\g<0>\u200b", text)
    return f"\u2068{broken}\u2069" if any(bidirectional(letter) in ("R", "AL") for letter in broken) else broken


def _drawings(outcome: Outcome, plan: dict[str, Any], wide: float, high: float) -> dict[str, str]:
    marks = _marks(outcome)
    to_day = len(plan["times"]["by_day"])
    fan: Callable[..., str] = partial(figures.fan, np.arange(to_day + 1.0), marks=marks, width=wide, height=225.0)
    left = np.vstack([np.full(3, outcome.water.loaded_l), outcome.water.by_day_l[:to_day]])
    drawings = {
        "chart": _chart(outcome, plan, wide, high),
        "times": figures.passage_times(outcome.crossings.arrival_h / 24.0, marks, wide, 200.0),
        "to_go": fan(_to_go(outcome)[: to_day + 1], unit="miles"),
        "water": fan(left[: to_day + 1], unit="litres"),
    }
    for row in plan["sky"]["by_day"]:
        phase = row["moon_phase"]
        waxing = phase in ("new moon", "waxing crescent", "first quarter", "waxing gibbous")
        drawings[f"moon{row['day']}"] = figures.moon(row["moon_lit_in_100"] / 100.0, waxing, plan["sky"]["southern"])
    return drawings


def _marks(outcome: Outcome) -> list[Mark]:
    times = outcome.times
    named = (("quick", times.fast_h), ("typical", times.typical_h), ("slow end", times.slow_end_h))
    return [Mark(hours / 24.0, f"{name} {hours / 24.0:.1f}") for name, hours in named if math.isfinite(hours)]


def _to_go(outcome: Outcome) -> np.ndarray[Any, np.dtype[np.float64]]:
    length_nm = outcome.ground.track.length_nm
    runs = [(day.most_nm, day.typical_nm, day.least_nm) for day in day_by_day(outcome.crossings)]
    return length_nm - np.array([(0.0, 0.0, 0.0), *runs])


def _chart(outcome: Outcome, plan: dict[str, Any], wide: float, high: float) -> str:
    rows = sum(1 for row in plan["times"]["by_day"] if row["day"] % EVERY_DAYS == 0)
    room = high - CHART_FURNITURE_PT - CHART_ROW_PT * rows
    places = [Place(waypoint.name, *waypoint.position) for waypoint in outcome.facts.voyage.waypoints]
    return draw_chart(outcome.ground.track, places, day_by_day(outcome.crossings), wide, room).svg
