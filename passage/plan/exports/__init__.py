"""The plan for other programs: one open format a file, each ``export(outcome) -> bytes``."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.follows import watches_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from passage.sailed import Work


def work_behind(format: str) -> Sequence[Work]:
    """Long work behind a format, worth keeping on disk; only the tables need the whole plan loaded to say it."""
    if format != "csv":
        return (watches_of,)
    from passage.plan.document import work_to_keep

    return work_to_keep()


def work_for_mate(format: str) -> Sequence[Work]:
    """Of it, what a mate may do meanwhile."""
    if format != "csv":
        return ()
    from passage.plan import document
    from passage.plan.editions import WHOLE

    return document.work_for_mate(WHOLE)
