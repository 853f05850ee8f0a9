"""Hypothesis draws the same examples everywhere and is never timed: a loaded machine is no fault of the code."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("same everywhere", deadline=None, derandomize=True)
settings.load_profile("same everywhere")
