"""How fast she goes: what the search asks of wind, current and boat. The answer for a voyage is in ``expected``."""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple, Protocol

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from passage.crossings.search.lines import Steps

    Floats = NDArray[np.float64]


class Going(NamedTuple):
    """Arrays of one shape. speed_kn: made good along the course, 0 or less where none is; price: hours counted on
    top of each hour sailed, 0 or more.
    """

    speed_kn: Floats
    price: Floats


class Speeds(Protocol):
    """Speed made good by place, course and hours since departure; ``fastest_kn`` is never exceeded."""

    @property
    def fastest_kn(self) -> float: ...

    def along(self, steps: Steps, hour: Floats) -> Going: ...
