"""Passage planning for a small boat: the same thousand crossings decide time, stores, power and watches.

``passage.read`` a folder, ``passage.sail`` it; see ``passage.api``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from passage.api import Sailing, read, sail, track, when
    from passage.inputs.changes import changed

__all__ = ["Sailing", "__version__", "changed", "read", "sail", "track", "when"]
__version__ = "0.1.0"


def __getattr__(name: str) -> Any:
    """The public names are loaded when the first of them is asked for: the version costs nothing."""
    if name not in __all__:
        raise AttributeError(f"module 'passage' has no attribute {name!r}")
    from passage import api

    value = getattr(api, name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return list(__all__)
