"""Every table of the plan as CSV, in one ZIP archive: a file for each list of rows, and one for what stands alone."""

from __future__ import annotations

import io
import zipfile
from typing import TYPE_CHECKING

from passage.plan.document import plan_tables
from passage.tell.frames import frames, to_csv

if TYPE_CHECKING:
    from passage.road import Outcome

_UNDATED = (1980, 1, 1, 0, 0, 0)  # the same plan gives the same bytes


def export(outcome: Outcome) -> bytes:
    """Files are named by the whole path of what they hold, as the page of keys has it: ``times.by_day.csv``."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, record in plan_tables(outcome).items():
            for path, table in frames(record, name).items():
                archive.writestr(zipfile.ZipInfo(f"{path}.csv", _UNDATED), to_csv(table))
    return out.getvalue()
