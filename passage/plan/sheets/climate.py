"""A climate of a person's own record: what was found in it, and how it is used."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.tell.blocks import Blocks, Head, Say, Title, note, strong

if TYPE_CHECKING:
    from passage.reanalysis.build import Built

GALES = "Counted in the record, which smooths squalls and the worst of gales away, and most in coarse grids."
USE = (
    "Crossings take from it the mean wind and the mean speed of each month, and what scatters is one normal law as "
    "ever. Spread, gales and how long a wind lasts are in the file as they were measured, for you to hold against ours "
    "(36 hours); the crossings do not use them."
)


def built_card(told: Built) -> Blocks:
    """Under ten lines."""
    years = (
        f"{told.whole_years} whole years from {told.first_whole_year} on: `passage years` sails them."
        if told.whole_years
        else "Fewer than two whole years in a row: none to sail."
    )
    return (
        Title(f"Climate of {told.first_year} to {told.last_year}"),
        Say(
            f"{told.values:,} values, every {told.step_hours} hours, {told.lat_cells} by {told.lon_cells} cells. Mean "
            f"{strong(f'{told.mean_kn:u}')}; a wind lasts {told.persistence_hours} hours; of 1000 hours "
            f"{told.gale_in_1000} of 34 kn and more. {years}"
        ),
        Head("Written"),
        Say(f'{told.out}; name it in voyage.toml: climate = "{told.out}"'),
    )


def full_card(told: Built) -> Blocks:
    return (
        *built_card(told),
        Head("Spread"),
        Say(f"{told.spread_kn:u} in each part of the wind about the month's mean."),
        Head("Strong wind"),
        Say(f"Of 1000 hours {told.strong_in_1000} of 28 kn and more, {told.gale_in_1000} of 34. {GALES}"),
        Head("How used"),
        note(USE),
    )
