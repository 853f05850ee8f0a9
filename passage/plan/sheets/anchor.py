"""At anchor at the other end: how much line, what it bears, when it comes straight, room to swing, hauling by hand."""

from __future__ import annotations

from math import isfinite, isnan
from typing import TYPE_CHECKING

from passage.consequences.anchoring.loads import TABLE
from passage.consequences.anchoring.lying import AnchorCheck, AtAnchor
from passage.errors import Fault, InputFaults
from passage.follows import lie_at_anchor
from passage.inputs.anchorage import ANCHORAGE_FILE
from passage.plan.sheet import Sheet
from passage.plan.sheets.cautions import DEFERS
from passage.tell.blocks import SMALL_PT, Beside, Blocks, Head, Say, Title, grid, large, note, small, strong
from passage.tell.customary import unit_words

MIND = "Set it, take bearings, and keep an anchor watch when it blows."

if TYPE_CHECKING:
    from passage.consequences.anchoring.hauling import Haul
    from passage.consequences.anchoring.lying import PartStrength
    from passage.inputs.folder import Facts
    from passage.road import Outcome


def table(outcome: Outcome) -> AtAnchor | None:
    return outcome.anchor


def of_folder(facts: Facts) -> AtAnchor:
    """What ``passage anchor`` tells. Raises InputFaults where no anchorage file is there."""
    found = lie_at_anchor(facts)
    if found is None:
        wanted = "write down the place and the anchors; passage new --template writes one to begin with"
        raise InputFaults([Fault(ANCHORAGE_FILE, 0, "", "no such file", wanted)])
    return found


def anchor_card(lying: AtAnchor) -> Blocks:
    sea = "" if isnan(lying.sea_m) else f" Wind sea over the fetch about {lying.sea_m:u}, without swell."
    guessed = ", guessed as a third of the table" if lying.drag_area_guessed else ""
    together = "; ".join(f"{row.spread_deg}° apart: {row.load_each_kgf:u} each" for row in lying.pair)
    return (
        Title(f"At anchor: {lying.place}"),
        Say(
            f"The bow stands {strong(f'{lying.height_low_m} to {lying.height_high_m:u}')} above the bottom. Bottom "
            f"{lying.bottom}: {lying.bottom_remark}.{sea}"
        ),
        Beside(
            (
                (
                    grid(
                        lying.loads,
                        ("wind,\nkn", lambda row: strong(row.wind_kn)),
                        (f"pull by\nthe table, {unit_words('kg')}", lambda row: strong(row.by_table_kgf), "right 1fr"),
                        (f"by wind drag\nalone, {unit_words('kg')}", lambda row: row.by_drag_kgf, "right 1fr"),
                        every=99,
                    ),
                ),
                (
                    grid(
                        lying.scopes,
                        ("scope", lambda row: row.scope_ratio),
                        (f"veer,\n{unit_words('m')}", lambda row: large(row.veer_m)),
                        ("for", lambda row: f"{row.when} ({row.standing}){_not_aboard(row.veer_m, lying)}", "left 1fr"),
                        ("taut, pulls\nup at", lambda row: f"{row.straight_angle_deg}°"),
                        every=99,
                    ),
                ),
            ),
            ("1fr", "1.15fr"),
        ),
        note(
            f"Table: {TABLE} ({lying.governing_standing}), row of {lying.governing_length_ft:u}, with surge in "
            f"moderate shelter. Drag: {lying.drag_area_m2:u} of drag area{guessed}. The truth of a night lies between "
            "them; in an open roadstead with swell above both."
        ),
        *(block for anchor in lying.anchors for block in _one(anchor)),
        Head("Both down, wind from between them", "Both down"),
        Say(f"{together}. A shift puts the whole pull on one." if together else ""),
        note(" ".join((*lying.cautions, DEFERS))),
    )


def _not_aboard(veer_m: float, lying: AtAnchor) -> str:
    """That no anchor has so much line; empty where one has."""
    most_m = max((anchor.line_m for anchor in lying.anchors), default=0.0)
    return f"; {strong('more than any line aboard')}" if veer_m > most_m else ""


def anchor_short(lying: AtAnchor) -> Blocks:
    """How much line, until what wind it holds her straight, and room to swing."""
    return (
        Title(f"At anchor: {lying.place}"),
        grid(
            lying.scopes,
            ("scope", lambda row: f"{row.scope_ratio} to 1"),
            (f"veer, {unit_words('m')}", lambda row: strong(row.veer_m)),
            ("for", lambda row: row.when, "left"),
        ),
        *(block for anchor in lying.anchors for block in _one_short(anchor)),
        Head("Mind"),
        Say(f"Steady pulls; swell and snatching are left out. Bottom: {lying.bottom}. {MIND}"),
    )


def _one_short(anchor: AnchorCheck) -> Blocks:
    lifts, *_ = anchor.thresholds
    weak = [f"{row.part} is {strong('not enough')}" for row in anchor.strengths if not row.enough]
    few = [strong(f"too little line: {anchor.scope_wanted_ratio} to 1 is wanted")] if not anchor.scope_enough else []
    tight = [strong(f"the taut circle is larger than the room, {anchor.swing.room_m:u}")] * (anchor.swing.fits is False)
    lies = (
        f"{anchor.anchor_kg:u}, {anchor.veer_m:u} veered, {anchor.scope_ratio} to 1: the last of the line lifts in "
        f"{strong(f'{_or_never(lifts.wind_by_table_kn)} to {_or_never(lifts.wind_by_drag_kn)} kn')}, she swings "
        f"{anchor.swing.taut_m:u}"
    )
    return (Head(f"{anchor.name[:1].upper()}{anchor.name[1:]}"), Say("; ".join((lies, *few, *tight, *weak)) + "."))


def _one(anchor: AnchorCheck) -> Blocks:
    swing = anchor.swing
    few = f"Too little line out: {anchor.scope_wanted_ratio} to 1 is wanted for the wind to be ready for."
    room = "" if isnan(swing.room_m) else f" (room {swing.room_m:u})"
    name = f"{anchor.name[:1].upper()}{anchor.name[1:]}"
    return (
        Head(f"{name}: {anchor.anchor_kg:u}, {anchor.veer_m:u} veered of {anchor.line_m:u}, {anchor.scope_ratio} to 1"),
        Say("" if anchor.scope_enough else strong(few)),
        Say(strong(f"The taut circle is larger than the room, {swing.room_m:u}.") if swing.fits is False else ""),
        Beside(
            (
                (
                    grid(
                        anchor.thresholds,
                        ("what happens", lambda row: row.what, "left 1fr"),
                        (f"at a pull\nof, {unit_words('kg')}", lambda row: row.pull_kgf),
                        ("wind, kn,\nby table", lambda row: strong(_or_never(row.wind_by_table_kn))),
                        ("by\ndrag", lambda row: _or_never(row.wind_by_drag_kn)),
                        size=SMALL_PT,
                        every=1,
                    ),
                ),
                (
                    grid(
                        anchor.strengths,
                        ("part, and whose figure", _part, "left 1fr"),
                        (f"works\nat, {unit_words('kg')}", lambda row: strong(row.working_kgf)),
                        (f"load,\n{unit_words('kg')}", lambda row: row.load_kgf),
                        ("", lambda row: "enough" if row.enough else strong("not enough"), "left"),
                        size=SMALL_PT,
                        every=1,
                    ),
                ),
            )
        ),
        Say(
            f"Swing from anchor to stern: {strong(f'{swing.light_air_m:u}')} in light air, "
            f"{strong(f'{swing.taut_m:u}')} bar-tight{room}. Cleat or bitts: {anchor.strong_point_kgf:u}. "
            + " ".join((*(_hauling(row) for row in anchor.hauls), *(f"{words}." for words in anchor.remarks)))
        ),
    )


def _or_never(wind_kn: float) -> str:
    return f"{wind_kn}" if isfinite(wind_kn) else "never"


def _part(row: PartStrength) -> str:
    return f"{row.part}\n{small(f'{row.source} ({row.standing})')}"


def _hauling(row: Haul) -> str:
    broken = " if it fails" if row.handle == "windlass" else ""
    hands = "" if row.by_hand_possible else f" (beyond bare hands{broken})"
    how = "engine holding her" if row.engine_holds_boat else "no engine"
    effort = f"{strong(f'{row.minutes:u}')} at the least, {row.arm_kgf:u} on the arms{hands}"
    return f"Hauling by {row.handle}, {how}: {effort}."


SHEET = Sheet(
    "anchor",
    table,
    wanted=lambda outcome: outcome.facts.anchorage is not None,
    record=AtAnchor,
    cards={"anchor": anchor_card},
    short=anchor_short,
)
