"""What is written to a file, or handed on as text: exports of the plan and the log, the page, the log's reports."""

from __future__ import annotations

from passage.tell.records import Record, told


class HandedOn(Record):
    """An export or a report."""

    format: str = told("its format")
    export: str = told("path of the file written; empty where it was none")
    text: str = told("the export or the report itself; empty where it was written to a file", default="")


def handed_on_text(told: HandedOn) -> str:
    return f"Written: {told.export}" if told.export else told.text.removesuffix("\n")


class PageWritten(Record):
    """The page that was written."""

    page: str = told("path of the page")
    page_bytes: int = told("its size, bytes")
    crossings: int = told("how many crossings were sailed")


def page_text(told: PageWritten) -> str:
    """Where the page is."""
    return f"Written: {told.page}\n{told.page_bytes / 1000:.0f} kB; any browser opens it, without a network."
