"""The mate: a second process of the same program, which works some things out while the skipper is at others.

The mate gets facts, ground and luck, sails the same crossings, and hands back what was asked for, piece by piece. No
answer hangs on there being one: on a machine with one processor, and wherever a mate fails, the skipper does it all.
"""

from __future__ import annotations

import os
import pickle
import signal
import sys
from pathlib import Path
from subprocess import DEVNULL, PIPE, Popen
from threading import Thread
from time import perf_counter, sleep
from typing import TYPE_CHECKING, Any, NamedTuple

from passage.crossings.wind import Luck
from passage.errors import PassageError
from passage.road import walk
from passage.tell.customary import UNITS, Units

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from passage.crossings.ground import Ground
    from passage.inputs.folder import Facts
    from passage.road import Outcome
    from passage.sailed import Work

LOOKS_EVERY_S = 0.25  # whether the skipper is still there


class _Orders(NamedTuple):
    """The crossings to be sailed, and what is to be worked out of them by functions that stand in a module."""

    facts: Facts
    ground: Ground
    luck: Luck
    depart: datetime
    works: tuple[Work, ...]


class _Done(NamedTuple):
    result: Any
    seconds: float
    failed: bool = False


class Mate:
    """``with Mate() as mate``: called at once, so as to be ready by the time there is work; gone at the end.

    wanted: whether there is enough to do for two; busy_s: how long the work took that was taken over, seconds.
    """

    def __init__(self, wanted: bool = True) -> None:
        self._process = _called() if wanted and _processors() > 1 else None
        self._ahead: list[Work] = []  # what is not handed back yet, in the order in which it will be
        self._done: dict[Work, _Done] = {}
        self.busy_s = 0.0

    def __enter__(self) -> Mate:
        return self

    def __exit__(self, *_: object) -> None:
        if self._process is not None:
            with self._process as gone:  # closes the pipes and waits
                gone.kill()

    def set_to(self, outcome: Outcome, works: Sequence[Work]) -> None:
        """Have these worked out, in this order, once in a mate's life; ``outcome.once`` takes them from here."""
        process = self._process
        if process is None or process.stdin is None or not works:
            return
        crossings = outcome.crossings
        luck = Luck(crossings.seed, crossings.members)
        try:
            with process.stdin as told:
                pickle.dump(_Orders(outcome.facts, outcome.ground, luck, crossings.depart, tuple(works)), told)
        except OSError:
            return
        self._ahead = list(works)
        outcome.expect(works, self._take)

    def _take(self, work: Work) -> Any:
        """Waits for it. Raises LookupError where the mate has failed."""
        while self._ahead and work not in self._done and self._process and self._process.stdout:
            try:
                self._done[self._ahead.pop(0)] = _Done(*pickle.load(self._process.stdout))
            except Exception:  # what is no answer may raise anything; nothing after it is to be trusted
                self._ahead = []
        done = self._done[work]
        if done.failed:
            raise LookupError
        self.busy_s += done.seconds
        return done.result


def _processors() -> int:
    """How many there are for this process."""
    here: int = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return here


def _called() -> Popen[bytes] | None:
    """A mate of this very package, wherever it is called from; None where no process can be had."""
    if not sys.executable:  # a Python within another program
        return None
    beside = os.pathsep.join(filter(None, [str(Path(__file__).parents[1]), os.environ.get("PYTHONPATH")]))
    try:
        return Popen(
            [sys.executable, "-P", "-c", f"from passage.mate import serve; serve({os.getpid()})"],
            stdin=PIPE,
            stdout=PIPE,
            stderr=DEVNULL,
            env={**os.environ, "PYTHONPATH": beside},
        )
    except OSError:
        return None


def _gone_with(skipper: int) -> None:
    """Whatever ends the skipper, a signal or a kill, ends the mate: its parent is then another."""
    while os.getppid() == skipper:
        sleep(LOOKS_EVERY_S)
    os._exit(1)


def serve(skipper: int) -> None:
    """The mate's own life: orders come in, results go out, each as soon as it is there. skipper: its process."""
    Thread(target=_gone_with, args=(skipper,), daemon=True).start()
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # an interrupt is the skipper's, who sends the mate off
    with os.fdopen(os.dup(1), "wb") as results:
        os.dup2(2, 1)  # what anybody prints is not to stand among the results
        try:
            orders: _Orders = pickle.load(sys.stdin.buffer)
        except EOFError:
            return
        UNITS.set(Units(orders.facts.boat.hull.units))
        outcome = walk(orders.facts, orders.ground, orders.luck, orders.depart)
        for work in orders.works:
            pickle.dump(_done(work, outcome), results)
            results.flush()


def _done(work: Work, outcome: Outcome) -> _Done:
    begun = perf_counter()
    try:
        return _Done(outcome.once(work), perf_counter() - begun)
    except PassageError:  # the skipper runs into it too, and tells it
        return _Done(None, perf_counter() - begun, failed=True)
