"""Every key that ``--json`` may print, from the sheets that print it; the log keeps its own, in ``sheets.log``."""

from __future__ import annotations

from passage.plan.document import SHEETS
from passage.plan.page import assemble as page
from passage.plan.sheets import before, choices, now, relearned, speed, timings, track, verified
from passage.tell.records import Record, keys_of


def path_end(path: str) -> str:
    return path.removesuffix("[]").rsplit(".", 1)[-1]


_RECORDS: dict[str, type[Record]] = {
    **{sheet.name: sheet.record for sheet in SHEETS if sheet.record is not None},
    "page": page.Written,
    "now": now.NowTold,
    "relearned": relearned.RelearnedTold,
    "timings": timings.Timings,
    "track": track.Compared,
    "verify": verified.Verified,
}
TOLD = [key for name, record in _RECORDS.items() for key in keys_of(record, name)]  # with the whole path

KEYS: dict[str, str] = {path_end(key.path): key.means for key in TOLD} | {
    key: meaning
    for keys in (before.KEYS, choices.KEYS, speed.KEYS, *(s.keys for s in SHEETS))
    for key, meaning in keys.items()
}
