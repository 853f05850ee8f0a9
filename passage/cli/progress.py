"""What work is at, on stderr: a line that comes after half a second and is gone when it is done.

Silent where stderr is no terminal. The line is drawn by a thread, so that work says what it is at without having been
written for it: how far it is where it tells, else how long it has taken.
"""

from __future__ import annotations

import sys
from contextlib import contextmanager
from time import monotonic
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from threading import Event, Thread

LONG_S = 0.5  # work that takes longer says what it is at
EVERY_S = 0.2
BAR = 40  # columns at most
CLEAR = "\r\x1b[K"  # the line that the terminal stands on


class _Line:
    """The one line. labels: what is being done, the innermost last; shares: how much of each, None where not told."""

    def __init__(self) -> None:
        self.labels: list[str] = []
        self.shares: list[float | None] = []
        self._began = 0.0
        self._drawn = False
        self._done: Event | None = None
        self._thread: Thread | None = None

    def begin(self) -> None:
        """Draw from half a second on, until ``end``."""
        from threading import Event, Thread

        if self._thread is None and sys.stderr is not None and sys.stderr.isatty():  # None: closed before we began
            self._began, self._done = monotonic(), Event()
            self._thread = Thread(target=self._draw_on, args=(self._done,), daemon=True)
            self._thread.start()

    def end(self) -> None:
        """Away with it, until work begins again."""
        if self._thread is not None and self._done is not None:
            self._done.set()
            self._thread.join()
            self._thread = None
            if self._drawn:
                self._write(CLEAR)
            self._drawn = False

    def _draw_on(self, done: Event) -> None:
        if done.wait(LONG_S):
            return
        self.draw()
        while not done.wait(EVERY_S):
            self.draw()

    def draw(self) -> None:
        if self._thread is None or not self.labels or monotonic() - self._began < LONG_S:
            return
        label, share = self.labels[-1], self.shares[-1]
        if share is None:
            text = f"{label}, {monotonic() - self._began:.0f} s"
        else:
            filled = int(BAR * min(share, 1.0))
            text = f"{label} {'=' * filled}{' ' * (BAR - filled)} {100 * min(share, 1.0):3.0f} %"
        self._drawn = True
        self._write(f"{CLEAR}{text}")

    @staticmethod
    def _write(text: str) -> None:
        sys.stderr.write(text)
        sys.stderr.flush()


_LINE = _Line()


@contextmanager
def at(label: str) -> Iterator[Callable[[float], None]]:
    """While it lasts, the line says so; the work may be given what it calls with the share that is done."""
    _LINE.labels.append(label)
    _LINE.shares.append(None)
    _LINE.begin()
    try:
        yield _told
    finally:
        _LINE.labels.pop()
        _LINE.shares.pop()
        if not _LINE.labels:
            _LINE.end()


def _told(share: float) -> None:
    if _LINE.shares:
        _LINE.shares[-1] = share


def now_at(label: str) -> None:
    """Another name for the innermost work, as its next step begins."""
    if _LINE.labels:
        _LINE.labels[-1], _LINE.shares[-1] = label, None


def quiet() -> None:
    """Before an answer is printed or a question asked: the line goes, and stays away until other work begins."""
    _LINE.end()
