"""The group that every command belongs to, and how what is refused is said."""

from __future__ import annotations

import errno
import os
import sys
from importlib import import_module
from typing import TYPE_CHECKING, Any

import click

from passage import __version__
from passage.cli.progress import at
from passage.errors import PassageError
from passage.hidden import uncovered

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

FAULT_STATUS = 2
ASKS = "ask"  # the command that a folder alone stands for
NARROWEST, WIDEST = 20, 100  # columns of help
BY_USE = {  # every command under when it is used
    "A crew lives on these four": ("check", "plan", "now", "log"),
    "To begin": ("new", "desk", "boat", "compare", "foods"),
    "Before she sails": (
        "legs",
        "track",
        "when",
        "years",
        "season",
        "sail",
        "stores",
        "power",
        "watch",
        "ready",
        "page",
        "export",
    ),
    "At sea": ("troubles", "anchor"),
    "After landfall": ("relearn",),
    "Many boats": ("fleet",),
    "For the curious": ("speed", "winds", "climate", "verify"),
}


class Summarised(click.Group):
    """A group whose help tells the summaries of its commands whole, under when they are used."""

    by_use: Mapping[str, Sequence[str]] | None = None  # one list of them all where there is none

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        by_use = self.by_use or {"Commands": self.list_commands(ctx)}
        widest = max(len(name) for names in by_use.values() for name in names)
        for use, names in by_use.items():
            found = [(name, self.get_command(ctx, name)) for name in names]
            with formatter.section(use):
                formatter.write_dl([(f"{name:<{widest}}", _summary(command)) for name, command in found if command])


def _summary(command: click.Command) -> str:
    return command.get_short_help_str(limit=len(command.help or ""))


class Later(Summarised):
    """A group whose commands join it when the first of them is asked for: ``--help`` of the whole pays nothing."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        self._join()
        return super().list_commands(ctx)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        self._join()
        return super().get_command(ctx, cmd_name)

    def resolve_command(self, ctx: click.Context, args: list[str]) -> Any:
        """A folder in place of a command asks for the next entry in it."""
        if self.get_command(ctx, args[0]) is None and os.path.isdir(args[0]):  # noqa: PTH112
            return ASKS, self.get_command(ctx, ASKS), args
        return super().resolve_command(ctx, args)

    def _join(self) -> None:
        import_module(f"passage.cli.{self.name}")


class Commands(Summarised):
    """A group that turns whatever the tool refuses into sentences on stderr and exit status 2."""

    by_use = BY_USE

    def make_context(self, *given: Any, **more: Any) -> click.Context:
        try:
            return super().make_context(*given, **more)
        except OSError as trouble:  # of help, which is printed while the words are read
            if trouble.errno == errno.EPIPE:
                raise
            click.echo(uncovered(_sentence(trouble)), err=True)
        sys.exit(FAULT_STATUS)

    def invoke(self, ctx: click.Context) -> Any:
        try:
            with at("working"):
                return super().invoke(ctx)
        except PassageError as refusal:
            click.echo(uncovered(str(refusal)), err=True)
        except OSError as trouble:
            if trouble.errno == errno.EPIPE:
                raise
            click.echo(uncovered(_sentence(trouble)), err=True)
        sys.exit(FAULT_STATUS)


def _sentence(trouble: OSError) -> str:
    """What the machine refuses, in words; a folder that is missing is named."""
    name = str(trouble.filename or "a file")
    folder = os.path.dirname(name) or "."  # noqa: PTH120
    if not os.path.isdir(folder) and trouble.errno == errno.ENOENT:  # noqa: PTH112  (says no of a name too long)
        return f"{name} cannot be written: there is no folder {folder}"
    return f"{name} cannot be read or written: {trouble.strerror}"


def _columns() -> int:
    """Width of help: the terminal's, within bounds. Asked here, for click asks by way of all the archive formats."""
    try:
        return min(max(os.get_terminal_size().columns, NARROWEST), WIDEST) - 2
    except OSError:
        return 80 - 2


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"], "terminal_width": _columns()})
@click.version_option(__version__, prog_name="passage")
def main() -> None:
    """Plan an ocean passage in a small boat: the same thousand crossings decide time and stores together.

    Everything it says defers to official forecasts and charts, to the COLREGs, to the rescue services and to the
    skipper.
    """


@main.group(cls=Later, invoke_without_command=True)
@click.pass_context
def log(ctx: click.Context) -> None:
    """Keep the log at sea: asks, field by field.

    'passage log FOLDER' asks for the next entry; the commands below keep one in a line. Nothing written is ever erased,
    and everything is kept twice.
    """
    if ctx.invoked_subcommand is None:
        from passage.cli.log import ask_here

        ask_here(ctx)
