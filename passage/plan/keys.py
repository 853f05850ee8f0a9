"""Every key that ``--json`` may print, of the records that print it; the log's are by themselves in the guide."""

from __future__ import annotations

from passage.journal.entries import STORED
from passage.journal.log import Logged
from passage.journal.storage import Checked, Journal
from passage.plan.document import SHEETS
from passage.plan.page import assemble as page
from passage.plan.sheets import before, choices, front, handed, log, now, relearned, speed, timings, track, verified
from passage.tell.records import Record, keys_of


def path_end(path: str) -> str:
    return path.removesuffix("[]").rsplit(".", 1)[-1]


def _meanings(*records: type[Record]) -> dict[str, str]:
    return {path_end(key.path): key.means for record in records for key in keys_of(record)}


_RECORDS: dict[str, type[Record]] = {
    **{sheet.name: sheet.record for sheet in SHEETS if sheet.record is not None},
    "new": before.NewFolder,
    "check": before.SoundFolder,
    "choices": choices.Choices,
    "export": handed.HandedOn,
    "page": page.Written,
    "plan": front.PlanWritten,
    "now": now.NowTold,
    "speed": speed.BoatSpeed,
    "relearned": relearned.RelearnedTold,
    "timings": timings.Timings,
    "track": track.Compared,
    "verify": verified.Verified,
}
TOLD = [key for name, record in _RECORDS.items() for key in keys_of(record, name)]  # with the whole path

KEYS = _meanings(*_RECORDS.values())
LOG_KEYS = STORED | _meanings(Logged, Journal, Checked, log.Rebuilt, handed.HandedOn)
