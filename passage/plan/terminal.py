"""What the commands say in the terminal: plain text in 80 columns, from the same tables as the paper.

One function for each command, named as the table it tells.
"""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

from passage.plan.printed import Table, shown

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

WIDTH = 80
ASIDE = 18


def front(table: Table) -> str:
    """Page one of the plan, as ``tables.front`` gives it; the path of the paper too where the table has one."""
    f = shown(table)
    blocks = [
        [f["voyage"], f"from {f['from']} to {f['to']}, {f['distance_nm']} miles", f"sails {f['depart_utc']}"],
        list(_time(f["time"], f["crossings"])),
        list(_load(f["water"], f["crossings"])),
        _aside("One tank lost", [_lost(tank) for tank in f["tanks_lost"]]),
        _aside("Cyclones", [f["cyclone_words"]]),
        _aside("Left out", f["left_out"]),
        _aside("Distance", [f["control"]]) if f["control"] else [],
        _aside(
            "Overruled by",
            ["official forecasts and charts, the collision regulations, the rescue services, the skipper."],
        ),
    ]
    path = f"\n{'Printed plan':<{ASIDE}}{f['plan']}\n" if "plan" in f else ""  # never wrapped: it is to be copied
    return _joined(blocks) + path


def new(table: Table) -> str:
    return _joined(
        [
            [f"Made {table['folder']} with {', '.join(table['files'])}."],
            ["Edit them: every line says what it wants. Then:", f"  passage check {table['folder']}"],
        ]
    )


def check(table: Table) -> str:
    c = shown(table)
    doubts = [*c["doubts"], *([c["control"]] if "Check waypoints" in c["control"] else [])]
    return _joined(
        [
            ["No fault found."],
            [
                f"{c['voyage']}: {c['waypoint_count']} waypoints, {c['distance_nm']} nm, sails {c['depart_utc']}",
                f"{c['crew_count']} aboard, {c['water_l']} litres of water and {c['fuel_l']} of fuel to draw on",
            ],
            _land(c),
            _aside("Doubtful", doubts),
        ]
    )


def times(table: Table) -> str:
    """How long, and what she does in an average crossing."""
    t = shown(table)
    hours = [f"{key.removesuffix('_h').replace('_', ' ')} {value} h" for key, value in t["hours"].items()]
    caution = (
        f"Strong wind is 28 knots and more, and the least sure of these; force 8 was seen in {t['force_8_seen_in']}."
    )
    return _joined([list(_time(t, t["crossings"])), _aside("Average crossing", [", ".join(hours), caution])])


def water(table: Table) -> str:
    """Does it last, the three rules, each tank lost, and the hand table."""
    w = shown(table)
    rules = [
        f"{rule['load_l']} litres: {rule['rule']}{', which decides' if rule['governs'] else ''}" for rule in w["rules"]
    ]
    rows = [
        f"{row['to_go_nm']:>10}{row['typical_days']:>10}{row['slow_end_days']:>10}{row['least_aboard_l']:>12}"
        f"{row['survival_l']:>12}"
        for row in w["by_miles_to_go"]
    ]
    head = f"{'miles to go':>11}{'typical d':>10}{'slow d':>9}{'least L':>12}{'survival L':>12}"
    return _joined(
        [
            list(_load(w, w["crossings"])),
            _aside("To load", rules),
            _aside("One tank lost", [_lost(tank) for tank in w["tanks_lost"]]),
            ["The least that should still be aboard:", head, *rows],
        ]
    )


def _time(time: Table, crossings: str) -> Iterable[str]:
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
        yield f"{'':<{ASIDE}}{time['never_crossings']} of {crossings} crossings never arrived"


def _load(water: Table, crossings: str) -> Iterable[str]:
    short = f"runs out in {water['short_crossings']} of {crossings} crossings"
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


def legs(table: Table) -> str:
    """Each leg, the control figure, and the nearest land."""
    told = shown(table)
    lines = []
    for leg in told["legs"]:
        lines += _fitted([f"{leg['leg']:>3}  {leg['from']} to {leg['to']}"])
        magnetic = _turn(leg["initial_magnetic_course_deg"], leg["final_magnetic_course_deg"])
        true = _turn(leg["initial_true_course_deg"], leg["final_true_course_deg"])
        variation = _turn(leg["initial_variation_deg"], leg["final_variation_deg"])
        lines += [f"     {leg['distance_nm']} nm ({leg['running_nm']} in all), {leg['sailing']}"]
        lines += _fitted([f"     true {true}, magnetic {magnetic}, variation {variation}"])
    total = f"{told['distance_nm']} nm in all. {told['control']}".strip()
    return _joined([lines, textwrap.wrap(total, WIDTH), _land(told)])


def _land(told: Table) -> list[str]:
    near, texts = told["nearest_land"], []
    if isinstance(near, dict):
        texts.append(
            f"{near['land_off_nm']} nm off, at {near['land_position']}, {near['from_start_nm']} nm from the start; "
            "the chart decides"
        )
    for danger in told["dangers"]:
        texts.append(
            f"{danger['danger']} ({danger['kind']}): {danger['clear_off_nm']} nm clear, "
            f"{danger['from_start_nm']} nm from the start"
        )
    return _aside("Nearest land", texts)


def _turn(first: str, last: str) -> str:
    return first if first == last else f"{first} to {last}"


def _joined(blocks: Sequence[Sequence[str]]) -> str:
    """Blocks of lines, fitted, an empty line between two; empty blocks left out."""
    return "\n\n".join("\n".join(_fitted(block)) for block in blocks if block)


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
