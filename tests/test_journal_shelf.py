"""Two copies beside each other: what is said of them. Entries are invented."""

from __future__ import annotations

from datetime import UTC, datetime

from passage.journal.record import Entry, checksum, line_of
from passage.journal.shelf import COPY, DATABASE, Shelf, listed, warnings

START = datetime(2027, 2, 10, 8, tzinfo=UTC)


def holding(name: str, *lines: str) -> Shelf:
    shelf = Shelf(name)
    for line in lines:
        shelf.take(line)
    return shelf


def test_numbers_that_run_on_are_told_by_their_ends() -> None:
    assert "1-3, 7, 9-10" == listed([1, 2, 3, 7, 9, 10])


def test_two_shelves_alike_give_no_warning_and_one_entry_less_in_both_does() -> None:
    lines = [line_of(Entry(number, "noon", START, START, {})) for number in (1, 3)]
    assert () == warnings(holding(DATABASE, lines[0]), holding(COPY, lines[0]))
    (told,) = warnings(holding(DATABASE, *lines), holding(COPY, *lines))
    assert "Entry 2 stands whole in neither copy." in told


def test_a_line_of_no_number_that_a_log_has_is_spoilt() -> None:
    content = "100000 noon 2027-02-10T08:00:00Z 2027-02-10T08:00:00Z - {}"
    shelf = holding(COPY, f"{checksum(content)} {content}")
    assert (1, set()) == (shelf.spoilt, shelf.taken)
