"""Which sails to set when, by the boat's own limits, and the storm sails against the published sizes."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from passage.consequences.readiness.sails import CAUTIONS
from passage.plan.columns import aside, joined
from passage.plan.printed import DASH, Table, rounded, shown
from passage.plan.sheet import Sheet
from passage.plan.sheets.cautions import DEFERS

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from passage.consequences.readiness.sails import SailPlan, SetSail, StormSail
    from passage.road import Outcome

NONE_LISTED = "No sails are listed in gear.toml: add a [[sail]] for each, with its limits."
NO_SAIL = "no sail aboard for this: heave to, lie to a drogue, or run under bare poles"


def table(outcome: Outcome) -> Table:
    """What to set for each band of wind and range of angles, and what is missing for a storm."""
    found = outcome.readiness
    return rounded(
        {
            "set": list(_rows(found.sails)),
            "storm": [_storm_row(sail) for sail in found.storm_sails],
            "storm_missing": not any(sail.area_m2 for sail in found.storm_sails if sail.use != "heavy-weather jib"),
            "sail_cautions": [*CAUTIONS, DEFERS],
        }
    )


def _rows(plans: Sequence[SailPlan]) -> Iterator[Table]:
    """Neighbouring angles at which the same sails are set make one row."""
    for _, run in groupby(plans, key=lambda plan: (plan.wind_from_kn, plan.sails)):
        first, *rest = run
        last = rest[-1] if rest else first
        yield {
            "wind_from_kn": first.wind_from_kn,
            "wind_to_kn": first.wind_to_kn,
            "wind": f"{first.wind_from_kn:g} to {first.wind_to_kn:g}",
            "angle_from_deg": first.angle_deg,
            "angle_to_deg": last.angle_deg,
            "sails": [_sail_words(sail) for sail in first.sails],
            "sails_area_m2": first.area_m2,
        }


def _sail_words(sail: SetSail) -> str:
    if sail.reef == 0:
        return sail.name
    return f"{sail.name}, {'1 reef' if sail.reef == 1 else f'{sail.reef} reefs'}"


def _storm_row(sail: StormSail) -> Table:
    return {
        "use": sail.use,
        "sail_aboard": sail.name,
        "area_m2": sail.area_m2,
        "largest_m2": sail.largest_m2,
        "fits_rule": sail.fits,
        "sail_wants": list(sail.wants) if sail.name else [],
        "size_rule": f"{sail.source} ({sail.standing})",
    }


def text(table: Table) -> str:
    """The table of sails by wind and angle, and the storm sails."""
    s = shown(table)
    if not any(row["sails"] for row in s["set"]):
        return joined([aside("Set", [NONE_LISTED])])
    rows = [f"{row['wind']} kn, {_angles(row)}: {sails_words(row)}" for row in s["set"]]
    storm = [f"{row['use']}: {_aboard(row)}{_largest(row)}{_wants(row)}" for row in s["storm"]]
    storm.append(f"Sizes by {s['storm'][0]['size_rule']}.")
    return joined([aside("Set", rows), aside("Storm sails", storm), aside("Mind", s["sail_cautions"])])


def _angles(row: Table) -> str:
    same = row["angle_from_deg"] == row["angle_to_deg"]
    return f"{row['angle_from_deg']}°" if same else f"{row['angle_from_deg']}° to {row['angle_to_deg']}°"


def sails_words(row: Table) -> str:
    return f"{' and '.join(row['sails'])}, {row['sails_area_m2']} m²" if row["sails"] else NO_SAIL


def _aboard(row: Table) -> str:
    return f"{row['sail_aboard']}, {row['area_m2']} m²" if row["sail_aboard"] else "none aboard"


def _largest(row: Table) -> str:
    return ", rig not given" if row["largest_m2"] == DASH else f", at most {row['largest_m2']} m²"


def _wants(row: Table) -> str:
    return f"; wants {'; '.join(row['sail_wants'])}" if row["sail_wants"] else ""


KEYS = {
    "set": "what to set, by bands of wind and ranges of angle",
    "wind_from_kn": "steady true wind from, kn",
    "wind_to_kn": "steady true wind to, kn",
    "wind": "the band in words, kn",
    "angle_from_deg": "true wind angle from the bow, first of the range, degrees",
    "angle_to_deg": "last of the range, degrees",
    "sails": "the sails to set, with their reefs; empty where the boat has none for it",
    "sails_area_m2": "their area together, m²",
    "storm": "storm sails against the published sizes",
    "storm_missing": "whether neither storm jib nor trysail is aboard",
    "use": "which storm sail",
    "sail_aboard": "the sail aboard for it",
    "area_m2": "its area, m²",
    "largest_m2": "largest area by the published rule, m²; none where the rig is not given",
    "fits_rule": "whether it keeps the rule; none where that cannot be said",
    "sail_wants": "what is missing or unknown about it",
    "size_rule": "whose rule, with its standing",
    "sail_cautions": "what the table cannot know, and whom it defers to",
}

SHEET = Sheet("sails", table, wanted=lambda outcome: bool(outcome.facts.gear.sails), keys=KEYS)
