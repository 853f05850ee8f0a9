"""What stands at the foot of every page: the caution, and from which files the plan was made."""

from __future__ import annotations

from hashlib import sha256
from typing import TYPE_CHECKING

from passage.inputs.output import own_files

if TYPE_CHECKING:
    from passage.inputs.folder import Facts

OVERRULED = "Official forecasts and warnings, charts, COLREGs, rescue services and the skipper overrule this plan."
CAUTION = f"From climate averages: not a forecast. {OVERRULED}"
FORECAST_CAUTION = f"From climate averages and, in the first days, a forecast that soon ages. {OVERRULED}"


def fingerprint(facts: Facts) -> str:
    """Eight hexadecimal digits of the SHA-256 of the voyage's files: another digit, another plan."""
    digest = sha256()
    for path in own_files(facts):
        content = path.read_bytes()
        digest.update(f"{path.name} {len(content)}\n".encode() + content)
    return digest.hexdigest()[:8]
