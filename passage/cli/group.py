"""The group that every command belongs to, and how what is refused is said."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from passage import __version__
from passage.errors import PassageError

FAULT_STATUS = 2


class Commands(click.Group):
    """A group that turns whatever the tool refuses into sentences on stderr and exit status 2."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except PassageError as refusal:
            click.echo(str(refusal), err=True)
        except OSError as trouble:
            click.echo(_sentence(trouble), err=True)
        sys.exit(FAULT_STATUS)


def _sentence(trouble: OSError) -> str:
    """What the machine refuses, in words; a folder that is missing is named."""
    name = str(trouble.filename or "a file")
    folder = Path(name).parent
    if not folder.is_dir():
        return f"{name} cannot be written: there is no folder {folder}"
    return f"{name} cannot be read or written: {trouble.strerror}"


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(__version__, prog_name="passage")
def main() -> None:
    """Plan an ocean passage in a small boat: the same thousand crossings decide time and stores together.

    Everything it says defers to official forecasts and charts, to the COLREGs, to the rescue services and to the
    skipper.
    """
