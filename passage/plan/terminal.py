"""The summary for the terminal: plain text in 80 columns, from the same tables as the paper."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from passage.plan.printed import Table, shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

WIDTH = 80
ASIDE = 18


def summary(front: Table) -> str:
    """Page one of the plan, as ``tables.front`` gives it, in lines of at most 80 columns."""
    f = shown(front)
    blocks = [
        [f["voyage"], f"from {f['from']} to {f['to']}, {f['distance_nm']} miles", f"sails {f['depart_utc']}"],
        list(_time(f)),
        list(_water(f)),
        _aside("One tank lost", [_lost(tank) for tank in f["tanks_lost"]]),
        _aside("Cyclones", [f["cyclone_words"]]),
        _aside("Left out", f["left_out"]),
        _aside("Distance", [f["control"]]) if f["control"] else [],
        _aside(
            "Overruled by",
            ["official forecasts and charts, the collision regulations, the rescue services, the skipper."],
        ),
    ]
    return "\n\n".join("\n".join(_fitted(block)) for block in blocks if block) + "\n"


def _time(f: Table) -> Iterable[str]:
    time = f["time"]
    rows = (
        ("Typical passage", "typical", "half are quicker, half slower"),
        ("Slow end", "slow_end", f"1 crossing in {time['slow_end_in']} is slower still"),
        ("Quick end", "quick", "1 crossing in 10 is quicker"),
    )
    for title, name, note in rows:
        if time[f"{name}_words"]:
            yield f"{title:<{ASIDE}}not reached: {time[f'{name}_words']}"
        else:
            yield f"{title:<{ASIDE}}{time[f'{name}_days']:>5} days  {time[f'{name}_landfall_utc']}  {note}"
    if time["never_crossings"] != "0":
        yield f"{'':<{ASIDE}}{time['never_crossings']} of {f['crossings']} crossings never arrived"


def _water(f: Table) -> Iterable[str]:
    water = f["water"]
    short = f"runs out in {water['short_crossings']} of {f['crossings']} crossings"
    yield f"{'Does water last?':<{ASIDE}}{water['verdict']} It {short}."
    if water["load_words"]:
        yield f"{'Load':<{ASIDE}}more than can be said: {water['load_words']}"
        return
    yield f"{'Load':<{ASIDE}}{water['load_l']} litres, decided by: {water['governs']}"
    spare = f"{water['to_spare_l']} to spare" if water["lacking_l"] == "0" else f"{water['lacking_l']} too little"
    yield f"{'Tanks give':<{ASIDE}}{water['tanks_give_l']} litres, {spare}; emergency water is not counted"


def _lost(tank: Table) -> str:
    reaches = "reaches the slow end" if tank["reaches_slow_end"] else "DOES NOT REACH the slow end"
    return (
        f"{tank['tank']}: {tank['left_l']} litres left, {tank['survival_ration_days']} days' survival ration, {reaches}"
    )


def legs_text(legs: Table) -> str:
    """The legs, as ``tables.legs`` gives them: three lines each at most, and the control figure."""
    shown_legs = shown(legs)
    lines = []
    for leg in shown_legs["legs"]:
        lines += _fitted([f"{leg['leg']:>3}  {leg['from']} to {leg['to']}"])
        magnetic = _turn(leg["initial_magnetic_course_deg"], leg["final_magnetic_course_deg"])
        true = _turn(leg["initial_true_course_deg"], leg["final_true_course_deg"])
        variation = _turn(leg["initial_variation_deg"], leg["final_variation_deg"])
        lines += [f"     {leg['distance_nm']} nm ({leg['running_nm']} in all), {leg['sailing']}"]
        lines += _fitted([f"     true {true}, magnetic {magnetic}, variation {variation}"])
    total = f"{shown_legs['distance_nm']} nm in all. {shown_legs['control']}".strip()
    return "\n".join([*lines, *textwrap.wrap(total, WIDTH)]) + "\n"


def _turn(first: str, last: str) -> str:
    return first if first == last else f"{first} to {last}"


def _aside(title: str, texts: Sequence[str]) -> list[str]:
    """Texts in the right-hand column, the title before the first."""
    lines: list[str] = []
    for number, text in enumerate(texts):
        lead = title if number == 0 else ""
        lines += textwrap.wrap(
            text, WIDTH, initial_indent=f"{lead:<{ASIDE}}", subsequent_indent=" " * ASIDE, break_on_hyphens=False
        )
    return lines


def _fitted(lines: Sequence[str]) -> list[str]:
    """Lines too long for the terminal wrapped into the right-hand column; names of any length are."""
    fitted: list[str] = []
    for line in lines:
        fitted += [line] if len(line) <= WIDTH else textwrap.wrap(line, WIDTH, subsequent_indent=" " * ASIDE)
    return fitted
