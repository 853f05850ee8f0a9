"""A lattice twice as fine is never slower: random swirls that drift and turn, each searched at two spacings.

    python -m benchmarks.nested_lattices [fields] [first seed]

The fields are invented. It prints the worst and exits 1 where one is more than 0.05 % slower.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.search.find import Search, find_track
from passage.crossings.search.going import Going
from passage.crossings.search.region import Ends
from passage.inputs.search import TrackLimits

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from passage.crossings.search.lines import Steps

    Floats = NDArray[np.float64]

SPEED_KN, STRONGEST_KN = 5.0, 4.0
ENDS = Ends(0.0, -30.0, 0.5, -27.0)
DEPART = datetime(2027, 2, 1, tzinfo=UTC)
MORE_SHARE = 5e-4


@dataclass(frozen=True)
class Swirls:
    """Five knots on every course through a current of some swirls, each (n,): where, how wide, how strong, how it
    drifts in degrees an hour; cut off at four knots.
    """

    lat: Floats
    lon: Floats
    wide: Floats
    turn_kn: Floats
    drift: Floats

    @property
    def fastest_kn(self) -> float:
        return SPEED_KN + STRONGEST_KN

    def along(self, steps: Steps, hour: Floats) -> Going:
        clock = np.asarray(hour)[..., None]
        north, east = steps.lat_deg[..., None] - self.lat, steps.lon_deg[..., None] - self.lon - self.drift * clock
        turn = self.turn_kn * np.exp(-(north**2 + east**2) / self.wide**2) / self.wide
        set_east, set_north = (-turn * north).sum(axis=-1), (turn * east).sum(axis=-1)
        cut = np.minimum(1.0, STRONGEST_KN / np.maximum(np.hypot(set_east, set_north), 1e-9))
        with_her = (set_east * steps.east + set_north * steps.north) * cut
        across = (set_east * steps.north - set_north * steps.east) * cut
        speed = np.sqrt(np.maximum(SPEED_KN**2 - across**2, 0.0)) + with_her
        return Going(speed, np.zeros(speed.shape))


def swirls(seed: int) -> Swirls:
    random = np.random.default_rng(seed)
    number = int(random.integers(3, 9))
    return Swirls(
        lat=random.uniform(-1.0, 1.5, number),
        lon=random.uniform(-30.2, -26.8, number),
        wide=random.uniform(0.2, 0.8, number),
        turn_kn=random.uniform(-9.0, 9.0, number),
        drift=random.uniform(-0.02, 0.02, number) * (seed % 2),
    )


def both_h(seed: int, spacing_nm: float) -> tuple[float, float]:
    """Hours on a lattice, and on one twice as fine."""
    found = [
        find_track(Search(ENDS, swirls(seed), TrackLimits(), DEPART, spacing_nm=spacing, land=False)).hours
        for spacing in (spacing_nm, spacing_nm / 2.0)
    ]
    return found[0], found[1]


def main() -> int:
    fields, first = (int(given) for given in (sys.argv[1:] + ["200", "0"][len(sys.argv) - 1 :])[:2])
    worst = 0.0
    for seed in range(first, first + fields):
        spacing_nm = (6.0, 8.0, 12.0)[seed % 3]
        coarse_h, fine_h = both_h(seed, spacing_nm)
        worst = max(worst, fine_h / coarse_h - 1.0)
        print(
            f"{seed:4d} {spacing_nm:5.1f} nm {coarse_h:9.4f} h {fine_h:9.4f} h {fine_h / coarse_h - 1.0:+.3%}",
            flush=True,
        )
    print(f"{fields} fields: at worst {worst:+.3%} slower on the finer lattice")
    return int(worst > MORE_SHARE)


if __name__ == "__main__":
    sys.exit(main())
