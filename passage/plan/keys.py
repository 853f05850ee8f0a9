"""Every key that ``--json`` may print, with its whole path, by the command that prints it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.journal.entries import STORED
from passage.journal.log import Logged
from passage.journal.storage import Checked, Journal
from passage.plan.document import SHEETS
from passage.plan.sheets import (
    before,
    choices,
    compared,
    first,
    fleet,
    foods,
    front,
    handed,
    log,
    now,
    relearned,
    season,
    speed,
    track,
    verified,
)
from passage.real_years import RealYears
from passage.reanalysis.build import Built
from passage.tell.records import Record, keys_of

if TYPE_CHECKING:
    from collections.abc import Mapping

_OF_PLAN: dict[str, type[Record]] = {sheet.name: sheet.record for sheet in SHEETS if sheet.record is not None}


def _sheets(*names: str) -> dict[str, type[Record]]:
    """Printed one beside the other, each under its name."""
    return {name: _OF_PLAN[name] for name in names}


def _bare(record: type[Record]) -> dict[str, type[Record]]:
    """Printed alone, without a name above it."""
    return {"": record}


PRINTED: Mapping[str, Mapping[str, type[Record]]] = {
    "new": _bare(first.Begun),
    "new --template": _bare(before.NewFolder),
    "boat split": _bare(before.TwoFolders),
    "compare": {"compare": compared.RefitsCompared},
    "foods": _bare(foods.Foods),
    "check": _bare(before.SoundFolder),
    "legs": _sheets("legs"),
    "track": {"track": track.TracksCompared},
    "track --choices": {"choices": choices.Choices},
    "when": _sheets("when"),
    "years": {"years": RealYears},
    "season": {"season": season.SeasonTold},
    "climate build": _bare(Built),
    "fleet": _bare(fleet.FleetTold),
    "sail": _sheets("times"),
    "winds": _sheets("winds"),
    "speed": {"speed": speed.BoatSpeed},
    "stores": _sheets("stores", "water", "food"),
    "power": _sheets("power"),
    "watch": _sheets("watches", "looks"),
    "troubles": _bare(_OF_PLAN["troubles"]),
    "ready": _sheets("ready", "sails"),
    "anchor": _bare(_OF_PLAN["anchor"]),
    "plan": _bare(front.PlanWritten),
    "export": _bare(handed.HandedOn),
    "page": _bare(handed.PageWritten),
    "now": _bare(now.NowTold),
    "relearn": _bare(relearned.RelearnedTold),
    "verify": _bare(verified.Verified),
    "log ask, start, noon, entry, note, used, correct, landfall": _bare(Logged),
    "log show": _bare(Journal),
    "log check": _bare(Checked),
    "log rebuild": _bare(log.Rebuilt),
    "log export, report": _bare(handed.HandedOn),
}
TYPED = STORED  # what may stand in an entry of the log, as typed


def paths(command: str) -> set[str]:
    """Every path that the JSON of a command may hold, ``[]`` behind what is a list."""
    return {name for name in PRINTED[command] if name} | {
        key.path for name, record in PRINTED[command].items() for key in keys_of(record, name)
    }
