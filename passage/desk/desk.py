"""The desk itself: one voyage open, what was changed in it, what follows, and who is to be told of what is new.

All of it is changed in one thread, that of the server; what other processes bring is handed over to it.
"""

from __future__ import annotations

import asyncio
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Any

from passage.desk.chart import Chart
from passage.desk.draft import Draft, contained
from passage.desk.part import ALL, FEW, Line, PartialAnswer
from passage.desk.work import Order, Result, Worker
from passage.errors import Fault, InputFaults, PassageError
from passage.inputs.home import VOYAGE_FILE
from passage.tell.figures import day_words

if TYPE_CHECKING:
    from collections.abc import Callable
    from subprocess import Popen

    from passage.inputs.folder import Facts

WAIT_S = 20.0  # that a browser is kept waiting for news
ANSWERS = ("few", "all")
WEEKS = (1, 2, 4, 8, -1, -2, -4, -8)  # to be put beside the planned departure
JOBS = ("plan", "choices", "year", "beside", "begin")


@dataclass
class Job:
    """A long job: how far it is, and what came of it. version: of the facts it was begun with."""

    worker: Worker
    number: int
    version: int
    share: float = 0.0
    at: str = ""
    running: bool = True
    value: Any = None
    refused: str = ""


@dataclass
class Row:
    """A line as the desk shows it. was: what it was before, where that differs; stale: not yet worked out anew."""

    line: Line
    was: str = ""
    stale: bool = False


@dataclass
class Answers:
    """What is known to follow. parts: of the facts as they are now; before: of those before the last change."""

    parts: dict[int, PartialAnswer] = field(default_factory=dict)
    before: dict[int, PartialAnswer] = field(default_factory=dict)
    last: dict[str, Line] = field(default_factory=dict)  # each line as it was last shown

    def begin_anew(self) -> None:
        """A change: what is known now is what was before."""
        if self.parts:
            self.before = {**self.before, **self.parts}
        self.parts = {}

    def take(self, part: PartialAnswer) -> None:
        self.parts[part.crossings] = part
        for line in part.lines:
            self.last[line.key] = line

    @property
    def newest(self) -> PartialAnswer | None:
        return self.parts.get(ALL) or self.parts.get(FEW)

    @property
    def whole(self) -> bool:
        return self.newest is not None and self.newest.whole

    def rows(self) -> list[Row]:
        """Every line, in the order of the plan."""
        newest = self.newest
        fresh = {line.key for line in newest.lines} if newest else set()
        if newest and newest.whole:
            self.last = {key: line for key, line in self.last.items() if key in fresh}
        was = self.before.get(newest.crossings) if newest else None
        before = {line.key: line.words for line in was.lines} if was else {}
        rows = []
        for key in ORDER:
            if key in self.last:
                line = self.last[key]
                told = before.get(key, line.words) if key in fresh else line.words
                rows.append(Row(line, told if told != line.words else "", key not in fresh))
        return rows


ORDER = (
    "verdict", "typical", "slow_end", "breaks", "water", "load", "food", "fuel", "battery", "sleep", "first", "ready",
    "cyclones",
)  # fmt: skip


class Desk:
    """root: the folder that was opened, out of which nothing is read or written but the boat that a voyage names;
    ready: a process called already, for the first answer.
    """

    def __init__(self, root: Path, ready: Popen[bytes] | None = None) -> None:
        self.root = root
        self.draft: Draft | None = None
        self.facts: Facts | None = None
        self.faults: tuple[Fault, ...] = ()
        self.refused = ""
        self.chart: Chart | None = None
        self.answers = Answers()
        self.jobs: dict[str, Job] = {}
        self.version = 0  # of the facts
        self.changed_by = ""  # the tab that made the last change
        self.saved: tuple[str, ...] = ()
        self.serial = 1
        self.pieces: dict[str, int] = {}  # of the page, and when each was last new
        self._orders = 0
        self._numbers: dict[str, tuple[int, int]] = {}  # order and version of the facts, of what answers
        self._news: asyncio.Event | None = None
        self._loop: asyncio.AbstractEventLoop | None = None
        self._door, self._early = Lock(), list[Result]()
        self._workers = {"few": Worker(self._hand_over, ready), "all": Worker(self._hand_over)}
        if (root / VOYAGE_FILE).is_file():
            self.open(root)

    # ---------------------------------------------------------------- voyages

    def voyages(self) -> list[Path]:
        """Voyages that lie in the folder opened."""
        if not self.root.is_dir():
            return []
        return sorted(path.parent for path in self.root.glob(f"*/{VOYAGE_FILE}") if contained(self.root, path))

    def boats(self) -> list[Path]:
        """Boats that a voyage may be sailed in: those beside hers and in the folder opened."""
        if self.draft is None:
            return []
        home = self.draft.home
        beside = [home.boat.resolve().parent] if home.boat else []
        found = {path.parent.resolve() for folder in (self.root, *beside) for path in folder.glob("*/boat.toml")}
        return sorted(path for path in found if path != self.draft.folder.resolve())

    def other_weeks(self) -> list[tuple[str, str]]:
        """Departures to put beside the planned one, as the file would have them, and in words."""
        if self.facts is None:
            return []
        planned = self.facts.voyage.departure.depart
        found = []
        for weeks in WEEKS:
            day = planned + timedelta(weeks=weeks)
            many = f"{abs(weeks)} week{'s' if abs(weeks) > 1 else ''}"
            found.append((f"{day:%Y-%m-%d %H:%M}", f"{many} {'later' if weeks > 0 else 'earlier'}, {day_words(day)}"))
        return found

    def open(self, folder: Path) -> None:
        """Open a voyage. Raises InputFaults."""
        self.draft = Draft.of(folder)
        self.answers, self.jobs = Answers(), {}
        self.reckon()

    # ---------------------------------------------------------------- changes

    def change(self, make: Callable[[Draft], bool], tab: str = "") -> str:
        """Make a change and have the answer worked out anew; why it could not be made, empty where it was."""
        if self.draft is None:
            return "No voyage is open."
        try:
            did = make(self.draft)
        except ValueError as why:
            return str(why)
        if did:
            self.changed_by, self.saved = tab, ()
            self.reckon()
        return ""

    def reckon(self) -> None:
        """Read the facts as changed, and have what follows from them worked out."""
        assert self.draft is not None
        self.version += 1
        self.refused = ""
        self.answers.begin_anew()
        drawn = self.chart
        try:
            self.facts = self.draft.facts()
            self.faults = ()
            self._have_answered("few")
            self.chart = Chart(self.facts)
        except InputFaults as told:
            self.faults = tuple(told.faults)
        except PassageError as refusal:
            self.refused = str(refusal)
        same = drawn is not None and self.chart is not None and self.chart.same(drawn)
        self.news("answer", "bar", "facts", *(() if same else ("chart", "beside")))

    def _have_answered(self, what: str) -> None:
        self._workers[what].set_to(self._order(what, {}))

    def _order(self, what: str, given: dict[str, Any]) -> Order:
        self._orders += 1
        folder = self.draft.folder if self.draft else self.root
        texts = dict(self.draft.texts) if self.draft else {}
        order = Order(self._orders, what, folder, texts, given)
        if what in ANSWERS:
            self._numbers[what] = (order.number, self.version)
        return order

    # ---------------------------------------------------------------- what the workers bring

    def _hand_over(self, result: Result) -> None:
        """From a worker's thread to the server's; kept for it where the server is not up yet."""
        with self._door:
            if self._loop is None:
                self._early.append(result)
            elif not self._loop.is_closed():
                self._loop.call_soon_threadsafe(self._came, result)

    def _came(self, result: Result) -> None:
        for number, version in list(self._numbers.values()):
            if number == result.number and version == self.version:
                self._answered(result)
        for name, job in list(self.jobs.items()):
            if job.number == result.number and job.running:
                self._worked(name, job, result)

    def _answered(self, result: Result) -> None:
        if result.faults or result.refused:
            self.faults, self.refused = result.faults, result.refused
        elif isinstance(result.value, PartialAnswer):
            kept = self.answers.parts.get(result.value.crossings)
            part = result.value if result.value.boats or kept is None else result.value._replace(boats=kept.boats)
            self.answers.take(part)
            if part.crossings == FEW and not part.boats:  # the first answer has the machine to itself
                self._have_answered("all")
        elif result.share is not None or result.last:
            return
        self.news("answer")

    def _worked(self, name: str, job: Job, result: Result) -> None:
        if result.share is not None:
            job.share, job.at = result.share, result.at
        elif result.faults or result.refused:
            job.refused = result.refused or "\n".join(map(str, result.faults))
        elif result.value is not None:
            job.value = result.value
        if result.last:
            job.running, job.share = False, 1.0
            job.worker.end()
            if name == "begin" and job.value and not job.refused:
                self.open(Path(job.value))
                self.news("page")
        self.news(name, *(("chart", "beside", "answer") if name in ("choices", "beside") and result.last else ()))

    # ---------------------------------------------------------------- long jobs

    def begin_job(self, name: str, given: dict[str, Any]) -> None:
        """Begin a long job in a process of its own, in place of one of that name."""
        self.stop_job(name)
        worker = Worker(self._hand_over)
        order = self._order(name, given)
        self.jobs[name] = Job(worker, order.number, self.version)
        worker.set_to(order)
        self.news(name)

    def stop_job(self, name: str) -> None:
        job = self.jobs.get(name)
        if job is not None and job.running:
            job.running, job.refused = False, "Stopped; nothing was made."
            job.worker.end()
            self.news(name)

    def close(self) -> None:
        """Every process that was called goes."""
        for worker in (*self._workers.values(), *(job.worker for job in self.jobs.values())):
            worker.end()

    # ---------------------------------------------------------------- news

    def news(self, *pieces: str) -> None:
        """Something of the page is new."""
        self.serial += 1
        self.pieces.update(dict.fromkeys(pieces, self.serial))
        if self._news is not None:
            self._news.set()

    def begin_loop(self) -> None:
        """The server is up: what workers brought before is taken in."""
        self._news = asyncio.Event()
        with self._door:
            self._loop = asyncio.get_running_loop()
            early, self._early = self._early, []
        for result in early:
            self._came(result)

    async def wait(self, seen: int, seconds: float = WAIT_S) -> list[str]:
        """What is new since ``seen``, as soon as anything is; nothing after so long."""
        until = asyncio.get_running_loop().time() + seconds
        while not (new := [piece for piece, serial in self.pieces.items() if serial > seen]):
            left = until - asyncio.get_running_loop().time()
            if left <= 0.0 or self._news is None:
                return []
            if self._news.is_set():
                self._news = asyncio.Event()
            try:
                await asyncio.wait_for(self._news.wait(), left)
            except TimeoutError:
                return []
        return new
