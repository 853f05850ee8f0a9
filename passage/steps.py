"""What long work is at, and how long each part of it took."""

from __future__ import annotations

from contextlib import contextmanager
from contextvars import ContextVar
from time import perf_counter
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

_TOLD: ContextVar[Callable[[float], None] | None] = ContextVar("whoever wants to know how far work is", default=None)
_LOADED = perf_counter()  # the command's own modules come first, all others are loaded by the steps that need them


class Steps:
    """Seconds by step, in the order first begun; a step within another is counted for itself alone.

    told: called with the name of each step as it begins. meanwhile_s: what a second process was busy.
    """

    def __init__(self, told: Callable[[str], None] | None = None) -> None:
        self._told = told
        self._within: list[float] = []  # seconds spent in inner steps, by step under way
        self.seconds: dict[str, float] = {}
        self.meanwhile_s = 0.0

    @contextmanager
    def __call__(self, name: str) -> Iterator[None]:
        if self._told is not None:
            self._told(name)
        self.seconds.setdefault(name, 0.0)
        self._within.append(0.0)
        begun = perf_counter()
        try:
            yield
        finally:
            took = perf_counter() - begun
            self.seconds[name] += took - self._within.pop()
            if self._within:
                self._within[-1] += took

    @property
    def since_loaded(self) -> float:
        """Seconds since the tool was loaded, steps and all."""
        return perf_counter() - _LOADED


@contextmanager
def heard_by(told: Callable[[float], None]) -> Iterator[None]:
    """Within it ``done`` tells this."""
    before = _TOLD.set(told)
    try:
        yield
    finally:
        _TOLD.reset(before)


def done(share: float) -> None:
    """Long work that is asked for by name, as a part of an outcome is, says how much of it is done, 0 to 1."""
    told = _TOLD.get()
    if told is not None:
        told(share)
