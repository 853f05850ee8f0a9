"""Hypothesis draws the same examples everywhere and is never timed: a loaded machine is no fault of the code."""

from __future__ import annotations

from hypothesis import Phase, settings

settings.register_profile("same everywhere", deadline=None, derandomize=True)
settings.register_profile(
    "first failure", settings.get_profile("same everywhere"), phases=[Phase.explicit, Phase.generate]
)
settings.load_profile("same everywhere")
