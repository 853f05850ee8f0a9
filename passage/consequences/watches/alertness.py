"""Three-process model of alertness: sleep pressure S, body clock C, twelve-hour rhythm U, inertia on waking W.

Constants of Åkerstedt & Folkard (1995, 1997) as used by Ingre et al. (2014), PLoS ONE 9:e108679. Sleep recovers in
the *brake* form (linear below the brake level), since the original form makes short naps look free. Times are hours,
the clock is ship's time, S and the alertness A = S + C + U share one scale: 14 high, 7 the threshold of sleepiness, 3
extreme. Arrays of any shape broadcast. The model is an indication: residual 1.42, between persons 0.84 on the
nine-step sleepiness scale.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

LOWER, UPPER, BRAKE = 2.4, 14.3, 12.2
DECAY_PER_H = -0.0353
RECOVERY_PER_H = float(np.log((UPPER - 14.0) / (UPPER - 7.96)) / 8.0)
BRAKED_PER_H = RECOVERY_PER_H * (BRAKE - UPPER)
ACROPHASE_H = 16.8

CONCERN_KSS = 7.0  # "sleepy, but no effort to stay awake": the usual line of concern
BETWEEN_PERSONS_KSS = 0.84
MODEL_ERROR_KSS = BETWEEN_PERSONS_KSS  # that part of the residual which more hours do not average out


def wake(pressure: ArrayLike, hours: ArrayLike) -> Floats:
    """S after hours awake."""
    return np.asarray(LOWER + (np.asarray(pressure) - LOWER) * np.exp(DECAY_PER_H * np.asarray(hours)))


def sleep_unbraked(pressure: ArrayLike, hours: ArrayLike) -> Floats:
    """S after hours asleep in the original form: for published tables, too kind to naps for rotas."""
    return np.asarray(UPPER - (UPPER - np.asarray(pressure)) * np.exp(RECOVERY_PER_H * np.asarray(hours)))


def sleep(pressure: ArrayLike, hours: ArrayLike) -> Floats:
    """S after hours asleep, brake form: linear up to the brake level, then exponential towards the upper asymptote."""
    start, hours = np.asarray(pressure, dtype=float), np.asarray(hours, dtype=float)
    braked_h = np.clip((BRAKE - start) / BRAKED_PER_H, 0.0, hours)
    return sleep_unbraked(start + BRAKED_PER_H * braked_h, hours - braked_h)


def circadian(clock_h: ArrayLike, acrophase_h: ArrayLike = ACROPHASE_H) -> Floats:
    """C: the body clock, highest at the acrophase."""
    return np.asarray(2.5 * np.cos(2.0 * np.pi * (np.asarray(clock_h) - acrophase_h) / 24.0))


def ultradian(clock_h: ArrayLike, acrophase_h: ArrayLike = ACROPHASE_H) -> Floats:
    """U: the twelve-hour rhythm with its dip after noon."""
    return np.asarray(-0.5 + 0.5 * np.cos(2.0 * np.pi * (np.asarray(clock_h) - acrophase_h - 3.0) / 12.0))


def rhythm(clock_h: ArrayLike, acrophase_h: ArrayLike = ACROPHASE_H) -> Floats:
    """C + U, all of alertness that the clock alone decides."""
    return circadian(clock_h, acrophase_h) + ultradian(clock_h, acrophase_h)


def inertia(awake_h: ArrayLike) -> Floats:
    """W: what waking costs, gone by half in 27.5 minutes; nothing urgent belongs in the first quarter of an hour
    after a call.
    """
    return np.asarray(-5.72 * np.exp(-1.51 * np.asarray(awake_h)))


def kss(alertness: ArrayLike) -> Floats:
    """Median Karolinska sleepiness of model 5c from A = S + C + U, inertia left out; not clipped to the scale of 1 to
    9.
    """
    return np.asarray(9.68 - 0.46 * np.asarray(alertness))


def steady(awake_h: float, asleep_h: float) -> tuple[float, float]:
    """(S on waking, S on falling asleep) of an endless repetition, brake form."""
    on_falling_asleep = settled(np.array([[asleep_h, 0.0]]), np.array([asleep_h, awake_h]))[0, 0]
    return float(sleep(on_falling_asleep, asleep_h)), float(on_falling_asleep)


def course(sleep_h: Floats, step_h: ArrayLike, start: ArrayLike) -> Floats:
    """S at the edges of every step, from a given start.

    sleep_h: [..., steps] hours asleep within each step, slept first; step_h: the length of the steps, one number or
    [steps]; start: S before the first step. Returns [..., steps + 1].
    """
    asleep_h = np.moveaxis(np.asarray(sleep_h, dtype=float), -1, 0)
    awake_h = _per_step(step_h, len(asleep_h), asleep_h.ndim) - asleep_h
    edges = np.empty((len(asleep_h) + 1, *asleep_h.shape[1:]))
    edges[0] = start
    for step, hours in enumerate(asleep_h):
        edges[step + 1] = wake(sleep(edges[step], hours), awake_h[step])
    return np.moveaxis(edges, 0, -1)


def settled(sleep_h: Floats, step_h: ArrayLike) -> Floats:
    """S at the edges of every step once the pattern has been kept for ever: the periodic state; shapes as in `course`.

    Newton on the state before the first step. One repetition maps it by a function that rises, is concave and
    contracts, so that the steps close in from above without overshoot and four or five reach a millionth.
    """
    whole = np.asarray(sleep_h, dtype=float)
    asleep_h = np.ascontiguousarray(np.moveaxis(whole, -1, 0)).reshape(whole.shape[-1], -1)
    fade = np.exp(DECAY_PER_H * (_per_step(step_h, len(asleep_h), 2) - asleep_h))
    above = np.empty((len(asleep_h) + 1, asleep_h.shape[1]))  # the lower asymptote, to which a day awake fades
    above[0] = 10.0 - LOWER
    for _ in range(12):
        slope = _repeat(above, asleep_h, BRAKED_PER_H * asleep_h, fade)
        correction = (above[-1] - above[0]) / (1.0 - slope)
        if np.abs(correction).max() < 1e-6:
            break
        above[0] += correction
    return np.moveaxis((above + LOWER).reshape(len(above), *whole.shape[:-1]), 0, -1)


def _repeat(above: Floats, asleep_h: Floats, rise: Floats, fade: Floats) -> Floats:
    """Fill above[1:], S less its lower asymptote, from above[0] in place; return the slope of the last by the first.

    Most sleeps end below the brake level, where S rises in a straight line; the exponential is for the others alone.
    """
    slope: Floats = fade.prod(axis=0)
    for step, risen in enumerate(rise):
        before, after = above[step], above[step + 1]
        np.add(before, risen, out=after)
        if after.max(initial=0.0) > BRAKE - LOWER:
            over = after > BRAKE - LOWER
            start = before[over] + LOWER
            end = sleep(start, asleep_h[step][over])
            after[over] = end - LOWER
            slope[over] *= (UPPER - np.maximum(end, BRAKE)) / (UPPER - np.maximum(start, BRAKE))
        after *= fade[step]
    return slope


def _per_step(step_h: ArrayLike, steps: int, ndim: int) -> Floats:
    return np.broadcast_to(np.asarray(step_h, dtype=float), (steps,)).reshape(steps, *[1] * (ndim - 1))


def body_clock_lag_h(ship_zone_h: ArrayLike, adapts_h_per_day: float = 1.0, start_lag_h: float = 0.0) -> Floats:
    """How far the body clock lags behind ship's time on each day (positive: the body thinks it earlier).

    ship_zone_h: [days] ship's time less UTC, hours, east positive, as the clocks are set or longitude / 15. The body
    follows by at most an hour a day (common practice, no source). Add the lag to the acrophase.
    """
    zone = np.asarray(ship_zone_h, dtype=float)
    lags = np.empty(len(zone))
    lag = start_lag_h
    for day, shift in enumerate(np.diff(zone, prepend=zone[:1])):
        lag = lag + (shift + 12.0) % 24.0 - 12.0
        lags[day] = lag
        lag -= float(np.clip(lag, -adapts_h_per_day, adapts_h_per_day))
    return lags
