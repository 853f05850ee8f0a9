"""Every key that ``--json`` may print, from the sheets that print it; the log keeps its own, in ``sheets.log``."""

from __future__ import annotations

from passage.plan.document import SHEETS
from passage.plan.page import assemble as page
from passage.plan.sheets import before, now, relearned, timings, track

KEYS: dict[str, str] = {
    key: meaning
    for keys in (before.KEYS, track.KEYS, now.KEYS, relearned.KEYS, page.KEYS, timings.KEYS, *(s.keys for s in SHEETS))
    for key, meaning in keys.items()
}
