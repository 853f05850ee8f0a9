"""A departure in the months of real years beside the climatology: a strip, what it says, and what it cannot."""

from __future__ import annotations

from math import isfinite
from typing import TYPE_CHECKING

from passage.tell.blocks import Blocks, Column, Grid, Head, Say, Title, grid, note, strong
from passage.tell.figures import DASH, day_words

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.real_years import RealYears, Year

ABREAST = 11  # years side by side in eighty columns
MEANS = "Monthly means: no day of those years is in them, no gale and no storm."
CAN = (
    "They show a year whose trades were weak or whose months blew from elsewhere, as in an El Nino. They cannot show "
    "how hard it blew on any day: weather about each month's mean is ours, alike in every year, and calms and gales "
    "are as the climatology has them. Each month is laid on the averages as the difference from the record's own mean, "
    "so that what two records differ by does not count."
)
FEW = (
    "So many years are few: the next may be worse than the worst of them, and none comes again. Load by the slow end "
    "of the plan, which is meant to stand for all of them."
)


def years_card(told: RealYears) -> Blocks:
    """Ten lines."""
    return (
        Title(f"{told.voyage}: the winds of real years"),
        Say(
            f"Leaving {day_words(told.depart_utc)}: typically {strong(f'{told.typical_days:u}')} by the climatology, "
            f"slow end {told.slow_end_days}. {_verdict(told)}"
        ),
        *_strips(told.years),
        note(f"{MEANS} {told.beyond_in_100} of 100 such crossings take longer than the slow end.{_left_out(told)}"),
    )


def full_card(told: RealYears) -> Blocks:
    """With every figure, and what the months can and cannot show."""
    return (
        *years_card(told),
        Head("One by one"),
        grid(
            told.years,
            ("year", lambda row: row.year),
            ("typical,\ndays", lambda row: strong(row.typical_days)),
            ("more,\ndays", lambda row: row.more_days),
            ("slow end,\ndays", lambda row: row.slow_end_days),
            ("longer than the\nplan's slow end, /100", lambda row: row.beyond_in_100),
        ),
        Head("What they show"),
        Say(CAN),
        Head("Few years"),
        Say(FEW),
        Head("Record"),
        Say(f"{told.source}; {told.crossings} crossings in each year, all with the same luck."),
    )


def _verdict(told: RealYears) -> str:
    slowest, quickest = max(told.years, key=_typical), min(told.years, key=_typical)
    return (
        f"Slowest in {strong(str(slowest.year))}, {_beside(slowest)}; quickest in {quickest.year}, {_beside(quickest)}."
    )


def _typical(year: Year) -> float:
    return year.typical_h


def _beside(year: Year) -> str:
    if not isfinite(year.more_days):
        return "when half of them never arrived"
    return f"{abs(year.more_days):.1f} days {'more' if year.more_days >= 0 else 'less'}"


def _strips(years: Sequence[Year]) -> Blocks:
    return tuple(_strip(years[first : first + ABREAST]) for first in range(0, len(years), ABREAST))


def _strip(years: Sequence[Year]) -> Grid:
    """A column a year: days more than the climatology's typical passage, and that year's own slow end."""
    heads = tuple(Column(f"{year.year}", "right") for year in years)
    rows = (
        ("typical", *(f"{year.typical_days:.0f}" if isfinite(year.typical_days) else DASH for year in years)),
        ("more", *(_signed(year.more_days) for year in years)),
        ("slow end", *(f"{year.slow_end_days:.0f}" if isfinite(year.slow_end_days) else DASH for year in years)),
    )
    return Grid((Column("days"), *heads), rows)


def _signed(days: float) -> str:
    if not isfinite(days):
        return DASH
    return f"{days:+.0f}".replace("-", "−") if abs(days) >= 0.5 else "0"


def _left_out(told: RealYears) -> str:
    if not told.left_out:
        return ""
    return f" Left out, for the record ends before she is in: {', '.join(map(str, told.left_out))}."
