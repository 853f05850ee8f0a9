"""Crossings sailed, and how what follows from them is worked out: once, when it is first asked for."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Generic, Self, TypeVar, overload

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from passage.crossings.ensemble import Crossings
    from passage.crossings.ground import Ground
    from passage.inputs.folder import Facts

    Work = Callable[[Any], Any]

Result = TypeVar("Result")


@dataclass(frozen=True)
class Sailed:
    """The crossings of one departure, with the facts and the ground that they come from.

    shopping: whether to plan the food still to be bought, which alone costs a second. A copy with something replaced
    begins with nothing worked out.
    """

    facts: Facts
    ground: Ground
    crossings: Crossings
    shopping: bool = True
    _done: dict[Work, Any] = field(default_factory=dict, init=False, repr=False, compare=False)
    _expected: dict[Work, Callable[[Work], Any]] = field(default_factory=dict, init=False, repr=False, compare=False)

    @property
    def slow_share(self) -> float:
        """Share of the crossings that are in by the slow end."""
        return 1.0 - self.facts.voyage.reserve.slow_end_share

    def once(self, work: Callable[[Self], Result]) -> Result:
        """What a function makes of these crossings, worked out the first time it is asked for, and kept."""
        if work not in self._done:
            self._done[work] = self._taken(work) if work in self._expected else work(self)
        kept: Result = self._done[work]
        return kept

    def expect(self, works: Iterable[Work], take: Callable[[Work], Any]) -> None:
        """``once`` asks ``take`` for these works first, and works them out itself where that raises LookupError."""
        self._expected.update(dict.fromkeys(works, take))

    def knows(self, work: Work) -> bool:
        """Whether it is worked out, or somebody is there to be asked for it."""
        return work in self._done or work in self._expected

    def expected(self, work: Work) -> Callable[[Work], Any] | None:
        """Whom ``once`` would ask for it first."""
        return self._expected.get(work)

    def _taken(self, work: Callable[[Self], Result]) -> Result:
        try:
            taken: Result = self._expected.pop(work)(work)
        except LookupError:
            return work(self)
        return taken


class worked(Generic[Result]):
    """A part that is worked out by a function of the whole, through ``once``: ``stores = worked(stores_of)``."""

    def __init__(self, work: Callable[[Any], Result]) -> None:
        self._work = work

    @overload
    def __get__(self, whole: None, owner: type[Sailed]) -> Self: ...

    @overload
    def __get__(self, whole: Sailed, owner: type[Sailed]) -> Result: ...

    def __get__(self, whole: Sailed | None, owner: type[Sailed]) -> Self | Result:
        return self if whole is None else whole.once(self._work)
