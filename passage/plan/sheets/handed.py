"""What is written to a file, or handed on as text: exports of the plan and the log, and the log's reports."""

from __future__ import annotations

from passage.tell.records import Record, told


class HandedOn(Record):
    """An export or a report."""

    format: str = told("its format")
    export: str = told("path of the file written; empty where it was none")
    text: str = told("the export or the report itself; empty where it was written to a file", default="")


def handed_on_text(told: HandedOn) -> str:
    return f"Written: {told.export}" if told.export else told.text.removesuffix("\n")
