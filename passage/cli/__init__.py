"""The commands. No arithmetic and no formatting here: facts are read, the road is walked, `plan` says it.

Heavy imports stand inside the functions that need them, so that ``passage --help`` costs little more than click.
"""

from passage.cli import climates, fleets, planning, sharing, starting, trust, underway  # noqa: F401  (their commands join the group)
from passage.cli.group import main

__all__ = ["main"]
