"""One screen, and the same as a card to print: label and words, nothing that needs colour or more than plain type."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING, NamedTuple

from passage.inputs.position import format_position
from passage.journal.now import Forward, Lasts, Now, beside_plan

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from passage.journal.evidence import Lessons
    from passage.journal.learning import Learned

ASIDE = 14
WIDTH = 76
DEFERS = (
    "Numbers of past winds, not a forecast: official forecasts and charts, the collision regulations, the rescue "
    "services and the skipper overrule them."
)


class Row(NamedTuple):
    """One line of the screen."""

    label: str
    words: str


def rows(report: Now) -> tuple[Row, ...]:
    """What there is to say, the gravest and the nearest first."""
    return (
        *(Row("LOOK", flag) for flag in report.flags),
        *_where(report),
        *_arrival(report),
        *_stores(report.forward),
        *_tonight(report),
        *(learned_rows(report.taught) if report.taught else ()),
        *_supposed(report),
        Row("Overruled by", DEFERS),
    )


def card(report: Now, width: int = WIDTH) -> str:
    """The rows as plain text, labels aside, for the screen and the printer."""
    head = f"{report.setting.ship}, {_when(report.here.time)}"
    return "\n".join([head, "=" * min(len(head), width), *_laid_out(rows(report), width), ""])


def _laid_out(lines: tuple[Row, ...], width: int) -> Iterator[str]:
    for row in lines:
        yield from textwrap.wrap(
            row.words, width, initial_indent=f"{row.label:<{ASIDE}}", subsequent_indent=" " * ASIDE
        )


def _where(report: Now) -> Iterator[Row]:
    here = report.here
    how = "" if here.fix else f", reckoned, {here.since_fix_h:.0f} h since a fix"
    yield Row("Position", format_position(here.lat_deg, here.lon_deg) + how)
    if report.forward is None and not report.barred:
        yield Row("Landfall", f"at {report.setting.destination}, {report.hours_out / 24:.1f} days out.")
    else:
        yield Row("To go", f"{report.to_go_nm:.0f} miles to {report.setting.destination}")
    made = report.yesterday
    if made is not None:
        last = f"{made.distance_nm:.0f} miles in the last {made.hours:.0f} h ({made.speed_kn:.1f} kn)"
        yield Row(
            "Made good",
            f"{last}; {report.made_good_nm:.0f} in {report.hours_out / 24:.1f} days ({report.mean_kn:.1f} kn)",
        )
    if said := _beside_plan(report):
        yield Row("Plan", said)


def _beside_plan(report: Now) -> str:
    plan = report.setting.plan
    if report.to_go_nm > 0:
        return beside_plan(plan, report.hours_out, report.made_good_nm)
    if not plan.get("typical_h") or not plan.get("slow_end_h"):
        return ""
    typical, slow = plan["typical_h"] / 24, plan["slow_end_h"] / 24
    return f"{report.hours_out / 24:.1f} days against a typical {typical:.1f}; 1 in {plan['one_in']} over {slow:.1f}."


def _arrival(report: Now) -> Iterator[Row]:
    if report.barred:
        yield Row("Landfall", report.barred)
    if report.forward is not None:
        yield Row("Landfall", _landfall(report.forward) + _planned_landfall(report))


def _landfall(forward: Forward) -> str:
    typical = f"typical {_when(forward.typical)}" if forward.typical else "half the crossings do not arrive"
    late = (
        f"1 in {forward.one_in} later than {_when(forward.slow_end)}" if forward.slow_end else "no slow end is reached"
    )
    return f"{typical}, {late}"


def _planned_landfall(report: Now) -> str:
    from datetime import timedelta

    plan = report.setting.plan
    if not plan.get("typical_h") or not plan.get("slow_end_h"):
        return ""
    typical, slow = (report.started + timedelta(hours=plan[name]) for name in ("typical_h", "slow_end_h"))
    return f". The plan said {_day(typical)}, {_day(slow)}"


def _stores(forward: Forward | None) -> Iterator[Row]:
    if forward is None:
        return
    water, *others = forward.stores
    yield Row("Water", _lasting(water, forward))
    if forward.ration is not None:
        yield Row("Ration", _ration(forward))
    for store in others:
        if store.name == "fuel":
            yield Row("Fuel", f"{_lasting(store, forward)}. {forward.motor_h:.0f} h for calms; landfall reserve apart")
        elif store.aboard > 0:
            yield Row(store.name.capitalize(), f"{_lasting(store, forward)} (reckoned, not weighed)")
    if forward.battery_low is not None:
        share = _in_hundred(forward.battery_low) if forward.battery_low else "none"
        yield Row("Battery", f"a night below its floor in {share} of the crossings, by the low case of sun")


def _lasting(store: Lasts, forward: Forward) -> str:
    digits = 0 if store.aboard >= 10 else 1
    lead = f"{store.aboard:.{digits}f} {store.unit} to draw on, {store.daily:.{1 if store.daily >= 1 else 2}f} a day"
    if store.short == 0:
        return f"{lead}: lasts in all {forward.members} crossings"
    ends = f"; in 1 in {forward.one_in} gone by {_day(store.runs_out)}" if store.runs_out else ""
    return f"{lead}: runs out in {_in_hundred(store.short)} crossings{ends}"


def _in_hundred(share: float) -> str:
    return f"{100 * share:.0f} in 100" if share >= 0.01 else "fewer than 1 in 100"


def _ration(forward: Forward) -> str:
    ration = forward.ration
    assert ration is not None
    said = f"{ration.person_l:.1f} L a person and day from today lasts to the slow end"
    if ration.below_survival:
        said += (
            f"; that is under the {ration.survival_l:.1f} L set as the least: save now, catch rain, think of a refuge"
        )
    return said


def _tonight(report: Now) -> Iterator[Row]:
    if not report.nights:
        return
    today, tomorrow = report.nights
    events = (
        ("sunset", today.sunset),
        ("sunrise", tomorrow.sunrise),
        ("moonrise", today.moonrise),
        ("moonset", today.moonset),
    )
    times = ", ".join(f"{name} {moment:%H:%M}" for name, moment in events if moment is not None)
    moon = f"moon {100 * today.moon_illuminated:.0f} % lit, {today.moon_phase}"
    yield Row("Tonight", f"{times} UTC; {moon}" if times else moon)


def learned_rows(taught: Lessons) -> tuple[Row, ...]:
    """Belief before and after, with its standard deviation and the days behind it."""
    steps = [_step("speed", taught.performance, "of her polar")]
    if taught.water.days:
        steps.append(_step("water", taught.water, "of what was planned"))
    if taught.fuel.days:
        steps.append(_step("fuel", taught.fuel, "of what the boat file says"))
    if taught.electricity.days:
        steps.append(_step("electricity", taught.electricity, "of the planned loads"))
    return tuple(Row("" if index else "Learned", words) for index, words in enumerate(steps))


def _step(name: str, learned: Learned, of: str) -> str:
    before, after = (f"{100 * b.mean:.0f} ± {100 * b.sd:.0f} %" for b in (learned.before, learned.after))
    return f"{name} {after} {of}, {before} before, from {learned.days} {'day' if learned.days == 1 else 'days'}"


def _supposed(report: Now) -> Iterator[Row]:
    if report.supposed is None:
        return
    said, forward = report.supposed
    yield Row("What if", f"{said}: landfall {_landfall(forward)}")
    yield Row("", f"water: {_lasting(forward.stores[0], forward)}")
    if forward.ration is not None:
        yield Row("", _ration(forward))


def _when(moment: datetime) -> str:
    return f"{moment.day} {moment:%b %H:%M} UTC"


def _day(moment: datetime) -> str:
    return f"{moment.day} {moment:%b}"
