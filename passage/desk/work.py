"""The desk's other processes: one or two that answer every change, and one for each long job.

Those that answer are kept warm, for to begin one takes a second. They are given orders, of which the newest alone
counts: between any two steps of its work, and within the long ones, a worker looks whether there is a newer one, and
drops what it was at. A long job has a process of its own, which is ended where it stands when it is no longer wanted.
Orders and results are pickled through pipes that no one else holds.
"""

from __future__ import annotations

import os
import pickle
import signal
import sys
from pathlib import Path
from subprocess import DEVNULL, PIPE, Popen
from threading import Lock, Thread
from time import sleep
from typing import TYPE_CHECKING, Any, NamedTuple

from passage.errors import InputFaults, PassageError
from passage.inputs.text import unsaved

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from passage.errors import Fault
    from passage.inputs.folder import Facts

LOOKS_EVERY_S = 0.25  # whether the desk is still there


class Order(NamedTuple):
    """What to work out. what: the function's name in ``passage.desk.orders``; given: its arguments; texts: of files
    that are read as if they stood so.
    """

    number: int
    what: str
    folder: Path
    texts: dict[Path, str]
    given: dict[str, Any]


class Result(NamedTuple):
    """Something that came out. faults: why nothing did; share: how far it is, where only that is told; last: whether
    nothing more is to come.
    """

    number: int
    value: Any = None
    faults: tuple[Fault, ...] = ()
    refused: str = ""
    share: float | None = None
    at: str = ""
    last: bool = False


class Dropped(BaseException):
    """A newer order is there."""


class Worker:
    """A process that is given orders. told: called, in a thread of its own, with every result; process: one called
    already, so as to be ready.
    """

    def __init__(self, told: Callable[[Result], None], process: Popen[bytes] | None = None) -> None:
        self._told = told
        self._lock = Lock()
        self._process = process
        self._order: Order | None = None
        self._listener: Thread | None = None
        self._heard: Popen[bytes] | None = None  # whom the listener listens to

    def set_to(self, order: Order) -> None:
        """Have this done, and nothing else any more."""
        with self._lock:
            self._order = order
            process = self._process
            if process is None or process.poll() is not None:
                process = self._process = called()
            if self._heard is not process:
                self._heard = process
                self._listener = Thread(target=self._listen, args=(process,), daemon=True)
                self._listener.start()
            assert process.stdin is not None
            try:
                pickle.dump(order, process.stdin)
                process.stdin.flush()
            except OSError:  # it ended this moment; the next order calls another
                pass

    def _listen(self, process: Popen[bytes]) -> None:
        assert process.stdout is not None
        with process:  # closes the pipes and waits
            while True:
                try:
                    result: Result = pickle.load(process.stdout)
                except Exception:  # the pipe has ended, or holds what is no result
                    break
                self._told(result)
            process.kill()
        with self._lock:
            order = self._order if self._process is process else None
            self._process = None if self._process is process else self._process
        if order is not None:
            self._told(Result(order.number, refused=ENDED, last=True))

    def end(self) -> None:
        """Away with the process, wherever it stands."""
        with self._lock:
            process, self._process, self._order = self._process, None, None
        if process is not None:
            process.kill()
            if self._listener is not None and self._heard is process:
                self._listener.join()
            else:
                with process:  # nobody listened
                    pass


ENDED = "The process that works this out has ended; change something to try again."


def called() -> Popen[bytes]:
    """A process of this very package, wherever it is called from."""
    beside = os.pathsep.join(filter(None, [str(Path(__file__).parents[2]), os.environ.get("PYTHONPATH")]))
    return Popen(
        [sys.executable, "-P", "-c", f"from passage.desk.work import serve; serve({os.getpid()})"],
        stdin=PIPE,
        stdout=PIPE,
        stderr=DEVNULL,
        env={**os.environ, "PYTHONPATH": beside, "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"},
    )


# ---------------------------------------------------------------- the process itself


def serve(desk: int) -> None:
    """A worker's own life. desk: the process that called it, with which it goes."""
    Thread(target=_gone_with, args=(desk,), daemon=True).start()
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # an interrupt is the desk's
    with os.fdopen(os.dup(1), "wb") as results:
        os.dup2(2, 1)  # what anybody prints is not to stand among the results
        orders = _Orders()
        Thread(target=orders.read, daemon=True).start()
        import passage.desk.orders  # noqa: F401  (loaded while the first order is on its way)

        while True:
            _follow(orders.next(), orders, results)


def _gone_with(desk: int) -> None:
    while os.getppid() == desk:
        sleep(LOOKS_EVERY_S)
    os._exit(1)


class _Orders:
    """The orders as they come in; of those not begun the newest counts."""

    def __init__(self) -> None:
        from threading import Condition

        self._there = Condition()
        self._newest: Order | None = None

    def read(self) -> None:
        while True:
            try:
                order: Order = pickle.load(sys.stdin.buffer)
            except Exception:  # the desk has gone
                os._exit(0)
            with self._there:
                self._newest = order
                self._there.notify()

    def next(self) -> Order:
        with self._there:
            while self._newest is None:
                self._there.wait()
            order, self._newest = self._newest, None
        return order

    def look(self, *_: object) -> None:
        """Raises Dropped where a newer order is there."""
        if self._newest is not None:
            raise Dropped


def _follow(order: Order, orders: _Orders, results: Any) -> None:
    def hand(result: Result) -> None:
        pickle.dump(result, results)
        results.flush()

    try:
        with unsaved(order.texts):
            for value in _values(order, orders, hand):
                hand(Result(order.number, value))
                orders.look()
        hand(Result(order.number, last=True))
    except Dropped:
        return
    except InputFaults as faults:
        hand(Result(order.number, faults=tuple(faults.faults), last=True))
    except PassageError as refusal:
        hand(Result(order.number, refused=str(refusal), last=True))
    except Exception as trouble:  # told, and the worker goes on
        hand(Result(order.number, refused=f"This could not be worked out: {trouble}", last=True))


def _values(order: Order, orders: _Orders, hand: Callable[[Result], None]) -> Iterator[Any]:
    from passage.desk import orders as known

    def progress(share: float, at: str = "") -> None:
        orders.look()
        hand(Result(order.number, share=share, at=at))

    work: Callable[..., Iterator[Any]] = known.ORDERS[order.what]
    of = _facts(order) if order.what in known.OF_FACTS else order.folder
    yield from work(of, progress, orders.look, **order.given)


def _facts(order: Order) -> Facts:
    from passage.api import read

    return read(order.folder)
