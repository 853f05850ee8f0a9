"""Passage planning for a small boat: the same thousand crossings decide time, stores, power and watches.

``passage.read`` a folder, ``passage.sail`` it; see ``passage.api``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from passage import logbook
    from passage.api import (
        Sailing,
        battery_at_anchor,
        build_climate,
        check,
        choices,
        new,
        read,
        sail,
        season,
        speeds,
        track,
        when,
        years,
    )
    from passage.fleets.api import fleet
    from passage.inputs.changes import changed

__all__ = [
    "Sailing",
    "__version__",
    "battery_at_anchor",
    "begin",
    "begin_season",
    "build_climate",
    "changed",
    "check",
    "choices",
    "compare",
    "fleet",
    "logbook",
    "new",
    "read",
    "sail",
    "season",
    "speeds",
    "track",
    "when",
    "years",
]
__version__ = "0.1.0"


def __getattr__(name: str) -> Any:
    """The public names are loaded when the first of them is asked for: the version costs nothing."""
    if name not in __all__:
        raise AttributeError(f"module 'passage' has no attribute {name!r}")
    from importlib import import_module

    if name == "logbook":  # a module of its own, for what only keeps an entry loads nothing of the road
        return import_module("passage.logbook")
    value = getattr(import_module("passage.fleets.api" if name == "fleet" else "passage.api"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return list(__all__)
