"""Spares and seacocks: what fits what, and what comes in through which hole."""

from __future__ import annotations

from datetime import date

import pytest

from passage.consequences.readiness.dates import PassageDates, Status
from passage.consequences.readiness.seacocks import inflow_l_min, seacock_rows
from passage.consequences.readiness.spares import spares_aboard
from passage.consequences.readiness.stowed import stowed_rows
from passage.inputs.failure import Failure
from passage.inputs.gear import Gear, GearItem, Seacock, Spare, Stowed


def gear(*spares: Spare) -> Gear:
    """Three invented things and the parts they wear."""
    return Gear(
        items=(
            GearItem(name="raw-water pump", kind="impeller", parts=("impeller 51 mm", "belt 10x900")),
            GearItem(name="alternator", kind="battery", parts=("Belt 10x900",)),
            GearItem(name="bilge pump", kind="bilge pump", parts=("diaphragm",)),
            GearItem(name="lamp", kind="lamp", failure=Failure.ANNOYS, parts=("bulb 12 V 10 W",)),
        ),
        spares=spares,
    )


def test_a_part_of_two_things_is_shared() -> None:
    shared = spares_aboard(gear()).shared
    assert [(row.part, row.used_by) for row in shared] == [("belt 10x900", ("raw-water pump", "alternator"))]


def test_what_has_no_spare_is_told_the_gravest_first() -> None:
    missing = spares_aboard(gear(Spare(name="impellers", part="impeller 51 mm", count=2))).missing
    assert [row.part for row in missing] == ["diaphragm", "belt 10x900", "bulb 12 V 10 W"]
    assert missing[0].failure is Failure.SINKS


def test_a_spare_that_has_run_out_covers_nothing() -> None:
    spares = spares_aboard(gear(Spare(name="belt", part="belt 10x900", count=0)))
    assert "belt 10x900" in [row.part for row in spares.missing]
    assert spares.widest == ()


def test_the_widest_spare_is_named_with_all_it_fits() -> None:
    kit = Spare(name="link belt", part="link belt", fits=("belt 10x900",), place="engine box")
    spares = spares_aboard(gear(kit, Spare(name="bulbs", part="bulb 12 V 10 W", count=4)))
    assert [(cover.name, cover.fits) for cover in spares.widest] == [("link belt", ("raw-water pump", "alternator"))]
    belt = next(row for row in spares.parts if row.part == "belt 10x900")
    assert (belt.aboard, belt.places) == (1, ("engine box",))


def test_a_spare_for_nothing_aboard_is_idle() -> None:
    assert spares_aboard(gear(Spare(name="old sheave", part="sheave 40 mm"))).idle == ("old sheave",)


def test_published_inflow() -> None:
    # a 38 mm hole half a metre down: 128 L/min (D, three figures)
    assert inflow_l_min(38.0, 0.5) == pytest.approx(128.0, abs=0.5)


def test_a_hole_at_the_waterline_lets_nothing_in_and_twice_the_bore_four_times() -> None:
    assert inflow_l_min(38.0, 0.0) == 0.0
    assert inflow_l_min(76.0, 0.5) == pytest.approx(4.0 * inflow_l_min(38.0, 0.5))


def test_seacocks_are_numbered_from_the_bow_and_say_what_they_want() -> None:
    aft = Seacock(name="cockpit drain", along_m=7.5, athwart_m=-0.4, below_waterline_m=0.1, bore_mm=38.0)
    fore = Seacock(
        name="heads",
        along_m=2.0,
        athwart_m=0.5,
        below_waterline_m=0.3,
        bore_mm=19.0,
        material="bronze",
        worked=date(2026, 10, 1),
        plug=True,
        clips=2,
    )
    rows = seacock_rows(Gear(seacocks=(aft, fore)))
    assert [(row.number, row.name, row.athwart_m) for row in rows] == [(1, "heads", 0.5), (2, "cockpit drain", -0.4)]
    assert rows[0].wants == ()
    assert len(rows[1].wants) == 4


def test_what_is_stowed_is_told_with_its_place_and_what_runs_out_first() -> None:
    dates = PassageDates(date(2026, 11, 1), date(2027, 2, 10), date(2027, 2, 26), date(2027, 3, 5), 10)
    things = (
        Stowed(name="torch cells", place="chart table"),
        Stowed(name="eye drops", amount="1 bottle", place="red box", use="eyes", expires=date(2027, 3, 15)),
        Stowed(name="ibuprofen", expires=date(2028, 1, 1)),
    )
    rows = stowed_rows(Gear(stowed=things), dates)
    assert ["eye drops", "ibuprofen", "torch cells"] == [row.name for row in rows]
    assert [Status.DUE_DURING, Status.FINE, Status.FINE] == [row.status for row in rows]
