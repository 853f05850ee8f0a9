"""Which sails to set when, by the boat's own limits, and the storm sails against the published sizes."""

from __future__ import annotations

from dataclasses import replace
from math import isnan
from typing import TYPE_CHECKING

from passage.consequences.readiness.sails import Sails
from passage.plan.sheet import Sheet
from passage.plan.sheets.cautions import DEFERS
from passage.tell.blocks import Blocks, Head, Say, Title, ToWrite, grid, large, note, on_paper, on_screen, strong

if TYPE_CHECKING:
    from passage.consequences.readiness.sails import SailPlan, StormSail
    from passage.road import Outcome

NONE_LISTED = "No sails are listed in gear.toml: add a [[sail]] for each, with its limits."
NO_SAIL = f"{strong('no sail aboard for this')}: heave to, lie to a drogue, or run under bare poles"


def table(outcome: Outcome) -> Sails:
    helm = outcome.facts.boat.helm
    mean_kn = helm.gust_limit_kn / helm.gust_factor
    return replace(
        outcome.readiness.sails,
        heave_to=f"These crossings heave to or run off from gusts of {helm.gust_limit_kn:.0f} kn on, a steady wind of "
        f"{mean_kn:.0f}, whatever could still be set: rows above that are for when she must be sailed.",
    )


def sails_card(sails: Sails) -> Blocks:
    if not sails.listed:
        return (Head("Which sails when", "Set"), Say(NONE_LISTED))
    first = sails.storm[0]
    return (
        Title("Which sails when"),
        grid(
            sails.plans,
            ("true wind, kn", lambda row: large(f"{row.wind_from_kn} to {row.wind_to_kn}"), "left"),
            ("wind angle", _angles, "left"),
            ("set", _sails, "left 1fr"),
            ("set, m²", lambda row: row.area_m2),
            every=1,
        ),
        Say(sails.heave_to),
        Say(strong("Neither storm jib nor trysail is aboard.") if sails.storm_missing else ""),
        Head("Storm sails against the published sizes"),
        grid(
            sails.storm,
            ("use", lambda row: strong(row.use), "left"),
            ("aboard", lambda row: row.name or strong("none"), "left"),
            ("m²", lambda row: row.area_m2),
            ("at most, m²", lambda row: "rig not given" if isnan(row.largest_m2) else row.largest_m2),
            ("wants", _wants, "left 1fr"),
            every=1,
        ),
        note(f"By {first.source} ({first.standing}). {' '.join(sails.cautions)}"),
        on_screen(note(DEFERS)),
        on_paper(Head("Ours: what we set, and how she liked it"), ToWrite(2)),
    )


def sails_short(sails: Sails) -> Blocks:
    """Only what is wrong with the sails for heavy weather."""
    missing = strong("neither storm jib nor trysail is aboard") if sails.storm_missing else ""
    wants = [f"{row.use}: {_wants(row)}" for row in sails.storm if _wants(row) != "nothing"]
    return (Head("Storm sails"), Say("; ".join(filter(None, (missing, *wants)))))


def _angles(row: SailPlan) -> str:
    same = row.angle_from_deg == row.angle_to_deg
    return f"{row.angle_from_deg}°" if same else f"{row.angle_from_deg}° to {row.angle_to_deg}°"


def _sails(row: SailPlan) -> str:
    return strong(" and ".join(sail.words for sail in row.sails)) if row.sails else NO_SAIL


def _wants(row: StormSail) -> str:
    if not row.name:
        return "one aboard, no larger than that"
    return "; ".join(row.wants) or "nothing"


SHEET = Sheet(
    "sails",
    table,
    wanted=lambda outcome: bool(outcome.facts.gear.sails),
    record=Sails,
    cards={"sails": sails_card},
    short=sails_short,
)
