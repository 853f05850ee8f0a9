"""Classes of failure."""

from __future__ import annotations

from enum import StrEnum


class Failure(StrEnum):
    """What a failure does to us, the gravest first. ANNOYS never keeps a boat in harbour."""

    SINKS = "sinks us"
    STOPS = "stops us"
    HURTS = "hurts someone"
    ANNOYS = "annoys"
