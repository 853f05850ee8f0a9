"""When things break: every crossing's own strikes, drawn from rates, with what is mended at sea and what is not.

Between strikes of one trouble lies a time drawn from an exponential law, so that what has held so far is as likely to
break in the next hour as ever (gear that wears out breaks later and more often; nobody's survey counts that). What is
broken does not break again until it is mended, and what is not mended at sea is broken until landfall.

A member draws from a stream of her own for each trouble, whatever the number of members, the track and the date. The
draws are of no rate: a greater one only brings the same strikes sooner, so that low and high rates differ by the rates
and not by luck.
"""

from __future__ import annotations

from operator import mul
from typing import TYPE_CHECKING, NamedTuple
from zlib import crc32

import numpy as np

from passage.crossings.wind import FLEET
from passage.inputs.reliability import BASIS_DAYS, Rates

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.inputs.folder import Facts
    from passage.inputs.reliability import Wear
    from passage.troubles.catalogue import Trouble

BREAKAGE = 1  # of a fleet's streams; the water has the first (``crossings.wind``)


class Hazard(NamedTuple):
    """A trouble and how often it strikes this boat."""

    trouble: Trouble
    rates: Rates
    mended_share: float
    mending_h: float


class Strikes(NamedTuple):
    """All strikes of one trouble, (strikes,) each. begin_h, end_h: whole hours after departure, an end that never comes
    is ``NEVER_H``.
    """

    member: NDArray[np.intp]
    begin_h: NDArray[np.int64]
    end_h: NDArray[np.int64]

    def of(self, who: slice) -> Strikes:
        """Those of neighbours, numbered from the first of them."""
        theirs = (self.member >= who.start) & (self.member < who.stop)
        return Strikes(self.member[theirs] - who.start, self.begin_h[theirs], self.end_h[theirs])


NEVER_H = 10**9


def hazards_of(facts: Facts, troubles: Sequence[Trouble]) -> tuple[Hazard, ...]:
    """Those of the troubles that strike at random. With a pilot behind the vane both must go before the crew steers: as
    often as their rates multiplied.
    """
    reliability = facts.troubles.reliability
    if not reliability.count:
        return ()
    spare = any(trouble.wear == "wind_vane_lost" for trouble in troubles)
    hazards = []
    for trouble in troubles:
        wear: Wear | None = getattr(reliability, trouble.wear) if trouble.wear else None
        if wear is None:
            continue
        rates = wear.rate
        if spare and trouble.wear == "self_steering_lost":
            rates = Rates(*map(mul, rates, reliability.wind_vane_lost.rate))
        hazards.append(Hazard(trouble, rates, wear.mended_share, wear.mending_h))
    return tuple(hazards)


def draw_strikes(hazard: Hazard, rate: float, seed: int, members: int, until_h: int) -> Strikes:
    """Every strike before ``until_h``. rate: in 20 days at sea."""
    streams = [
        np.random.Generator(np.random.SFC64(np.random.SeedSequence(seed, spawn_key=(fleet, BREAKAGE, _key(hazard)))))
        for fleet in range(-(-members // FLEET))
    ]
    mean_h = 24.0 * BASIS_DAYS / rate if rate > 0.0 else np.inf
    free_h, found = np.zeros(members), []  # until when each is still, or again, whole
    while (free_h < until_h).any():
        gap, chance = _drawn(streams, members)
        begin_h = np.floor(free_h + gap * mean_h)
        end_h = np.where(chance < hazard.mended_share, begin_h + np.ceil(hazard.mending_h), NEVER_H)
        struck = (begin_h < until_h).nonzero()[0]
        found.append((struck, begin_h[struck].astype(np.int64), end_h[struck].astype(np.int64)))
        free_h = np.where(begin_h < until_h, end_h, np.inf)
    return Strikes(*(np.concatenate(parts) for parts in zip(*found, strict=True)))


def _key(hazard: Hazard) -> int:
    return crc32(hazard.trouble.name.encode())


def _drawn(streams: Sequence[np.random.Generator], members: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Times to the next strike in units of their mean, and chances of its being mended, (members,) each; a whole fleet
    draws always.
    """
    gaps = [stream.standard_exponential(FLEET) for stream in streams]
    chances = [stream.random(FLEET) for stream in streams]
    return np.concatenate(gaps)[:members], np.concatenate(chances)[:members]
