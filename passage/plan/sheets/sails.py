"""Which sails to set when, by the boat's own limits, and the storm sails against the published sizes."""

from __future__ import annotations

from dataclasses import replace
from math import isnan
from typing import TYPE_CHECKING

from passage.consequences.readiness.sails import Sails
from passage.plan.sheet import Sheet
from passage.plan.sheets.cautions import DEFERS
from passage.tell.blocks import Blocks, Head, Say, Size, Title, ToWrite, grid, large, note, on_paper, on_screen, strong

if TYPE_CHECKING:
    from passage.consequences.readiness.sails import SailPlan, StormSail
    from passage.road import Outcome

NONE_LISTED = "No sails are listed in gear.toml: add a [[sail]] for each, with its limits."
NO_SAIL_NEEDED = "no sail, or the storm jib sheeted flat"
NO_SAIL = f"{strong('no sail aboard for this')}: heave to, lie to a drogue, or run under bare poles"


def table(outcome: Outcome) -> Sails:
    helm = outcome.facts.boat.helm
    return replace(
        outcome.readiness.sails,
        heave_to_kn=helm.gust_limit_kn / helm.gust_factor,
        heave_to_gust_kn=helm.gust_limit_kn,
    )


def sails_card(sails: Sails) -> Blocks:
    if not sails.listed:
        return (Head("Which sails when", "Set"), Say(NONE_LISTED))
    first = sails.storm[0]
    return (
        Title("When to heave to, and which sails when"),
        Say(heave_to_words(sails), Size.LEAD),
        Say(
            f"Practise it: how she lies hove to is hers alone. Running off before a drogue instead: {NO_SAIL_NEEDED}. "
            "Common practice, no source."
        ),
        grid(
            sails.plans,
            ("true wind, kn", lambda row: large(f"{row.wind_from_kn} to {row.wind_to_kn}"), "left"),
            ("wind angle", _angles, "left"),
            ("set", lambda row: _sails(row, sails.heave_to_kn), "left 1fr"),
            ("set, m²", lambda row: row.area_m2),
            every=1,
        ),
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


def heave_to_words(sails: Sails) -> str:
    under = " and ".join(sail.words for sail in sails.hove_to_under)
    named = f"under {under}, the headsail aback" if len(sails.hove_to_under) > 1 else f"under {under}" if under else ""
    return (
        f"Heave to from gusts of {sails.heave_to_gust_kn} kn, a steady wind of {sails.heave_to_kn}: "
        f"{named or 'no sail aboard is listed for that wind, so lie to a drogue or under bare poles'}."
    )


def _sails(row: SailPlan, heave_to_kn: float) -> str:
    """What to set; from the wind at which this plan heaves to, only where she must be sailed."""
    if not row.sails:
        return NO_SAIL
    named = strong(" and ".join(sail.words for sail in row.sails))
    if row.wind_from_kn >= heave_to_kn:
        return f"{strong('hove to')}; if she must be sailed: {named}"
    return f"{named}; {strong(f'hove to from {heave_to_kn:.0f}')}" if row.wind_to_kn > heave_to_kn else named


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
