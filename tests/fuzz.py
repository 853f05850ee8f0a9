"""Broken voyages by the thousand: every input file and every command, each case in a process of its own.

    python -m tests.fuzz --cases 1500 --seed 1

A case is a sound voyage with every file there is, something in it broken by chance or by the table of hostile
contents, and one command of the program's own tree with options by chance. It has failed where it ends in anything but
an answer or a sentence, prints what is no number or what steers a terminal, takes more than ``MOST_CPU_S`` of processor
or ``MOST_MB`` of memory, or loses an entry of the log that it said was kept. A case is a function of its number and the
seed.
"""

from __future__ import annotations

import argparse
import os
import random
import re
import resource
import shutil
import signal
import sys
import tempfile
import time
import traceback
from contextlib import suppress
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from passage.hidden import is_hidden
from tests.hostile import BINARY, BOATS, OPTIONS, TEXTS, VALUES, WHOLE

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOT = Path(__file__).parents[1]
SOUND = ROOT / "tests" / "broken" / "base"
MOST_CPU_S, MOST_MB, MOST_WALL_S = 20, 1000, 300
ANSWERS = (0, 1, 2)  # an answer, a check that does not hold, a sentence
NO_NUMBER = re.compile(r"(?<![\w.])[-+−]?(?:nan|NaN|inf|Infinity)(?![\w.])")
KEPT = re.compile(r"^Entry (\d+) (?:kept|stands)|^Entry (\d+) is kept", re.M)
LONG = (
    "plan",
    "page",
    "watch",
    "troubles",
    "track",
    "when",
    "power",
    "relearn",
    "new",
    "compare",
)  # commands that take seconds
LONG_SHARE = 0.08  # of the cases
SMALL = {"crossings": "20", "weeks": "1", "days": "2"}  # so that what is sound ends soon


@dataclass(frozen=True)
class Case:
    """What is run, and in words what was broken before."""

    number: int
    arguments: tuple[str, ...]
    broken: str

    def told_back(self, said: str) -> str:
        """An answer without what the crew said in words of their own, which it may say again."""
        for option, word in pairwise(self.arguments):
            if option in ("--remarks", "--on-watch", "--seen", "--sails", "--done") and word:
                said = said.replace(word, "")
        return said


@dataclass(frozen=True)
class Run:
    case: Case
    status: int
    cpu_s: float
    megabytes: float
    out: str
    err: str


# ---------------------------------------------------------------- a sound voyage with every file there is


def lay_sound(folder: Path) -> None:
    """Winds and currents of its own, a forecast, a route, a table of pairs, and a log of three days."""
    from click.testing import CliRunner

    from passage.cli import main

    shutil.copytree(SOUND, folder)
    for name in ("climatology", "current"):
        _cut(ROOT / "climatology_demo" / f"{name}.nc", folder / f"{name}.nc")
    _forecast(folder / "forecast.grib")
    (folder / "pairs.csv").write_text("tws,60,90,120\n8,4.1,4.5,4.4\n12,5.2,5.6,5.5\n", encoding="utf-8")
    positions = ((-33.9, 17.0), (-31.0, 12.0), (-30.0, 10.0))
    points = "".join(f'<rtept lat="{lat}" lon="{lon}"><name>P{lat}</name></rtept>' for lat, lon in positions)
    gpx = f'<gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1"><rte>{points}</rte></gpx>'
    (folder / "route.gpx").write_text(gpx, encoding="utf-8")
    for words in (
        ("start", "--without-plan", "--yes"),
        ("noon", "--time", "2027-02-11 12:00", "--position", "33 0S 16 0E", "--water", "keel tank=60", "--yes"),
        ("noon", "--time", "2027-02-12 12:00", "--course", "300", "--log", "110", "--yes"),
    ):
        done = CliRunner().invoke(main, ["log", words[0], str(folder), *words[1:]])
        assert done.exit_code == 0, done.output


def _cut(source: Path, to: Path) -> None:
    """The shipped grid around the voyage only."""
    import netCDF4
    import numpy as np

    with netCDF4.Dataset(source) as grid, netCDF4.Dataset(to, "w") as cut:
        lat, lon = (next(v for v in grid.variables.values() if v.dimensions == (n,)) for n in _axes(grid))
        rows = np.flatnonzero((lat[:] > -50) & (lat[:] < -10))
        columns = np.flatnonzero((lon[:] > -20) & (lon[:] < 30))
        taken = {lat.name: rows, lon.name: columns}
        for name, dimension in grid.dimensions.items():
            cut.createDimension(name, len(taken.get(name, range(dimension.size))))
        for variable in grid.variables.values():
            attributes = {key: variable.getncattr(key) for key in variable.ncattrs() if key not in ("_FillValue",)}
            attributes = {key: each for key, each in attributes.items() if key not in ("scale_factor", "add_offset")}
            values = variable[tuple(taken.get(name, slice(None)) for name in variable.dimensions)]
            made = cut.createVariable(variable.name, "f8", variable.dimensions, fill_value=-9999.0)
            made[:] = np.nan_to_num(np.ma.filled(np.ma.asarray(values, dtype=float), 0.0))
            made.setncatts({key: each for key, each in attributes.items() if not key.startswith("flag")})
        cut.title = "own grid"


def _axes(grid: Any) -> tuple[str, str]:
    names = {getattr(v, "standard_name", ""): v.name for v in grid.variables.values() if v.dimensions == (v.name,)}
    return names["latitude"], names["longitude"]


def _forecast(path: Path) -> None:
    with suppress(ImportError, RuntimeError):
        from tests.grib_cases import write

        write(path, steps_h=[0, 6, 12])


# ---------------------------------------------------------------- what is broken


def break_it(folder: Path, chance: random.Random) -> str:
    """Break one thing, now and then two; the words say what."""
    if chance.random() < 0.1:
        return "nothing"
    told = [_break_one(folder, chance) for _ in range(chance.choice((1, 1, 1, 2)))]
    return "; ".join(told)


def _break_one(folder: Path, chance: random.Random) -> str:
    if chance.random() < 0.05:
        return _name_a_boat(folder, chance)
    path = chance.choice(sorted(each for each in folder.iterdir() if each.is_file()))
    if path.suffix in (".nc", ".grib", ".gpx"):
        _name_it(folder, path.name)
    if chance.random() < 0.12:
        name, content = chance.choice(list((WHOLE | BINARY).items()))
        path.unlink()
        _put(path, content())
        return f"{path.name} is {name}"
    if path.suffix in (".toml", ".csv", ".gpx", ".txt") and chance.random() < 0.85:
        text = path.read_text(encoding="utf-8", errors="replace")
        broken, told = chance.choice((_value, _value, _value, _line, _letters, _doubled))(text, chance)
        path.write_text(broken, encoding="utf-8", errors="surrogatepass", newline="")
        return f"{path.name}: {told}"
    content = bytearray(path.read_bytes())
    for _ in range(chance.choice((1, 3, 30)) if content else 0):
        content[chance.randrange(len(content))] = chance.randrange(256)
    kept = chance.choice((len(content), len(content), chance.randrange(len(content) + 1)))
    path.write_bytes(content[:kept])
    return f"{path.name}: bytes"


def _name_a_boat(folder: Path, chance: random.Random) -> str:
    """The voyage names a boat's folder, in which there is nothing, all, a loop or what no folder is."""
    boat, path = chance.choice(BOATS), folder / "voyage.toml"
    (folder / "bare").mkdir(exist_ok=True)
    with suppress(OSError):
        (folder / "ring").symlink_to(folder / "ring")
        (folder / "hers").mkdir()
        for name in ("boat.toml", "crew.toml", "polar.csv"):
            (folder / name).rename(folder / "hers" / name)
    if path.is_file():
        text = path.read_text(encoding="utf-8", errors="replace")
        text = text.replace("[voyage]\n", f"[voyage]\nboat = {boat}\n")
        path.write_text(text, encoding="utf-8", errors="surrogatepass")
    return f"the boat is {boat[:30]}"


def _put(path: Path, content: bytes | str | None) -> None:
    """Bytes of a file, a link to somewhere, or with None a named pipe."""
    if content is None:
        os.mkfifo(path)
    elif isinstance(content, str):
        path.symlink_to(content)
    else:
        path.write_bytes(content)


def _name_it(folder: Path, name: str) -> None:
    """The voyage file asks for the file that is to be broken."""
    path = folder / "voyage.toml"
    if not path.is_file() or path.is_symlink():
        return
    text = path.read_text(encoding="utf-8", errors="replace")
    if name == "route.gpx" and "[[waypoint]]" in text:
        head, _, after = text.partition("[[waypoint]]")
        text = f'{head}[route]\nfile = "{name}"\n\n[reserve]{after.partition("[reserve]")[2]}'
    elif name == "forecast.grib":
        text += f'\n[forecast]\nfile = "{name}"\n'
    elif name.endswith(".nc"):
        key = "current" if name == "current.nc" else "climate"
        text = text.replace("[voyage]\n", f'[voyage]\n{key} = "{name}"\n')
    path.write_text(text, encoding="utf-8", errors="surrogatepass")


def _value(text: str, chance: random.Random) -> tuple[str, str]:
    """A value, or a field of a table, becomes another."""
    places = list(re.finditer(r"(?<== ).+$|(?<=,)[^,\n]+|\"[^\"\n]+\"", text, re.M))
    if not places:
        return text + chance.choice(VALUES), "a value added"
    place, value = chance.choice(places), chance.choice(VALUES)
    return f"{text[: place.start()]}{value}{text[place.end() :]}", f"{place[0][:30]!r} becomes {value[:30]!r}"


def _line(text: str, chance: random.Random) -> tuple[str, str]:
    lines = text.split("\n")
    at, other = chance.randrange(len(lines)), chance.randrange(len(lines))
    if chance.random() < 0.5:
        gone = lines.pop(at)
        return "\n".join(lines), f"without {gone[:30]!r}"
    lines[at], lines[other] = lines[other], lines[at]
    return "\n".join(lines), f"lines {at + 1} and {other + 1} change places"


def _letters(text: str, chance: random.Random) -> tuple[str, str]:
    start = chance.randrange(len(text) + 1)
    end, put = start + chance.choice((0, 1, 5, 40)), chance.choice(TEXTS)
    return f"{text[:start]}{put}{text[end:]}", f"{put[:20]!r} at letter {start}"


def _doubled(text: str, chance: random.Random) -> tuple[str, str]:
    """A piece stands there many times over."""
    lines = text.split("\n")
    at, times = chance.randrange(len(lines)), chance.choice((2, 50, 3000))
    return "\n".join([*lines[:at], *[lines[at]] * times, *lines[at + 1 :]]), f"line {at + 1} stands there {times} times"


# ---------------------------------------------------------------- what is asked


SERVE = {("desk",)}  # runs until it is interrupted; what may be sent to it is ``test_desk_guard``'s


def commands(group: click.Group, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    """Every command of the tree, with the words that lead to it: new ones are in it by themselves."""
    context = click.Context(group)
    for name in group.list_commands(context):
        command = group.get_command(context, name)
        if isinstance(command, click.Group):
            yield from commands(command, (*path, name))
        elif command is not None:
            yield (*path, name), command


def ask(folder: Path, chance: random.Random) -> tuple[str, ...]:
    """A command with arguments and options by chance."""
    from passage.cli import main

    tree = [each for each in commands(main) if each[0] not in SERVE]
    long = [each for each in tree if each[0][-1] in LONG and "log" not in each[0]]
    short = [each for each in tree if each not in long]
    words, command = chance.choice(long if chance.random() < LONG_SHARE else short)
    return (*words, *(word for parameter in command.params for word in _given(words, parameter, folder, chance)))


def _given(words: tuple[str, ...], parameter: click.Parameter, folder: Path, chance: random.Random) -> list[str]:
    if parameter.name == "folder":
        return [str(folder) if words[-1] != "new" else f"{folder}{chance.choice(('-new', '', '/no/such', '-' * 300))}"]
    if isinstance(parameter, click.Argument):
        return [_word(parameter, folder, chance)]
    option = parameter.opts[0]
    if parameter.name in SMALL:
        return [option, SMALL[parameter.name]]
    if chance.random() > {"yes": 0.8, "time": 0.5}.get(parameter.name or "", 0.2):
        return []
    if getattr(parameter, "is_flag", False):
        return [option]
    return [option, *(_word(parameter, folder, chance) for _ in range(parameter.nargs))]


def _word(parameter: click.Parameter, folder: Path, chance: random.Random) -> str:
    kind = parameter.type
    if isinstance(kind, click.Choice):
        return str(chance.choice(list(kind.choices)))
    if isinstance(kind, click.IntRange):
        return str(chance.choice((kind.min or 0, (kind.min or 0) + 1, kind.max or 7, -1, 10**30)))
    if isinstance(kind, click.types.FloatParamType):
        return chance.choice(("0", "12.5", "90", "nan", "-inf", "1e308"))
    if isinstance(kind, click.Path):
        return str(
            folder / chance.choice(("out.pdf", "journal.db", "journal.txt", "boat.toml", "no/such.pdf", "o.svg"))
        )
    if parameter.name == "pairs":
        return str(folder / chance.choice(("pairs.csv", "voyage.toml", "none.csv")))
    table = OPTIONS.get(parameter.name or "", ()) or TEXTS[:12] + VALUES[:12]
    return (table[0] if chance.random() < 0.5 else chance.choice(table)).replace("\0", "")


# ---------------------------------------------------------------- one case in a process of its own


def run(case: Case, folder: Path) -> Run:
    """Run it in a fork with bounds; the parent, which has everything loaded, stays as it is."""
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as err:
        child = os.fork()
        if child == 0:
            _be_the_child(case, folder, out.fileno(), err.fileno())
        status, used = _waited(child)
        said, told = _read(out), _read(err)
    return Run(case, status, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024.0, said, told)


def _waited(child: int) -> tuple[int, resource.struct_rusage]:
    end = time.monotonic() + MOST_WALL_S
    while time.monotonic() < end:
        done, status, used = os.wait4(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status), used
        time.sleep(0.005)
    os.kill(child, signal.SIGKILL)
    _, status, used = os.wait4(child, 0)
    return os.waitstatus_to_exitcode(status), used


def _be_the_child(case: Case, folder: Path, out: int, err: int) -> None:
    status = 70
    try:
        os.chdir(folder.parent)
        os.dup2(out, 1)
        os.dup2(err, 2)
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        sys.stdout, sys.stderr = os.fdopen(1, "w", encoding="utf-8"), os.fdopen(2, "w", encoding="utf-8")
        resource.setrlimit(resource.RLIMIT_CPU, (MOST_CPU_S, MOST_CPU_S + 2))
        resource.setrlimit(resource.RLIMIT_FSIZE, (300_000_000,) * 2)
        resource.setrlimit(resource.RLIMIT_AS, (6_000_000_000,) * 2)
        status = _answered(case)
    except BaseException:
        traceback.print_exc()
    finally:
        with suppress(BaseException):
            sys.stdout.flush()
            sys.stderr.flush()
        os._exit(status)


def _answered(case: Case) -> int:
    from passage.cli import main

    try:
        main(list(case.arguments), prog_name="passage")
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else 0
    return 0


def _read(file: Any) -> str:
    file.seek(0)
    content: bytes = file.read(3_000_000)
    return content.decode("utf-8", "surrogateescape")


# ---------------------------------------------------------------- what is held against it


def faults_of(found: Run, folder: Path) -> list[str]:
    """What is wrong with a run, each a word or two."""
    wrong = []
    if "Traceback" in found.err:
        wrong.append("traceback")
    if found.status not in ANSWERS:
        hung = " (killed: it hung, or had no turn)" if found.status == -signal.SIGKILL else ""
        wrong.append(f"ended with {found.status}{hung}")
    if found.status == 2 and not found.err.strip():
        wrong.append("refused without a word")
    if found.cpu_s > MOST_CPU_S:
        wrong.append(f"{found.cpu_s:.0f} s of processor")
    if found.megabytes > MOST_MB:
        wrong.append(f"{found.megabytes:.0f} MB")
    if found.status == 0 and NO_NUMBER.search(found.case.told_back(found.out)):
        wrong.append("prints what is no number")
    if any(is_hidden(letter) for letter in set(found.out + found.err) - {"\r"}):
        wrong.append("prints hidden letters")
    if len(found.err) > 100_000:
        wrong.append("endless sentences")
    return [*wrong, *_lost(found, folder)]


def _lost(found: Run, folder: Path) -> list[str]:
    """Entries said to be kept that are not in the log."""
    if found.case.arguments[0] != "log" or not (kept := KEPT.findall(found.out + found.err)):
        return []
    from passage.errors import PassageError
    from passage.journal.storage import read_journal

    try:
        numbers = {entry.number for entry in read_journal(folder).entries}
    except PassageError:
        numbers = set()
    return [f"entry {number} lost" for pair in kept for number in pair if number and int(number) not in numbers]


def one(number: int, seed: int, sound: Path, work: Path) -> tuple[Run, list[str]]:
    """Case ``number`` of a seed, from a copy of the sound voyage that is thrown away."""
    chance = random.Random(f"{seed} {number}")
    folder = work / f"case-{number}" / "voyage"
    shutil.copytree(sound, folder)
    try:
        broken = break_it(folder, chance)
        case = Case(number, ask(folder, chance), broken)
        found = run(case, folder)
        return found, faults_of(found, folder)
    finally:
        shutil.rmtree(folder.parent, ignore_errors=True)


def load() -> None:
    """Everything that a command imports, once for all the forks."""
    import netCDF4  # noqa: F401

    from passage import verify  # noqa: F401
    from passage.journal import ashore, relearn  # noqa: F401
    from passage.plan import document  # noqa: F401
    from passage.plan.page import assemble  # noqa: F401


def fuzz(numbers: range, seed: int, until: float | None = None) -> Iterator[tuple[Run, list[str]]]:
    """Cases one after another, to an end of monotonic time if there is one."""
    load()
    with tempfile.TemporaryDirectory() as place:
        work = Path(place)
        lay_sound(work / "sound")
        for number in numbers:
            if until and time.monotonic() > until:
                return
            yield one(number, seed, work / "sound", work)


def told(found: Run, wrong: list[str]) -> str:
    trace = [line.strip() for line in found.err.splitlines() if line.startswith("  File") and "/passage/" in line][-1:]
    last = [line for line in found.err.splitlines() if line.strip()][-1:]
    asked = " ".join(each if each.isprintable() and " " not in each else repr(each) for each in found.case.arguments)
    words = f"case {found.case.number}: {', '.join(wrong)}\n  passage {asked[:300]}\n  broken: {found.case.broken}\n"
    return f"{words}  {''.join(trace)[-90:]} {''.join(last)[:300]!r}"


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--cases", type=int, default=1500)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=60.0)
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    asked = parser.parse_args()
    begun, bad = time.monotonic(), 0
    pipes = []
    for worker in range(asked.workers):
        reads, writes = os.pipe()
        if os.fork() == 0:
            os.close(reads)
            numbers = range(asked.first + worker, asked.first + asked.cases, asked.workers)
            count = _work(numbers, asked.seed, begun + 60.0 * asked.minutes)
            os.write(writes, f"{count[0]} {count[1]} {count[2]:.1f} {count[3]:.0f}".encode())
            os._exit(0)
        os.close(writes)
        pipes.append(reads)
    counts = [os.read(reads, 100).decode().split() for reads in pipes]
    ran, bad = (sum(int(count[at]) for count in counts) for at in (0, 1))
    worst = " and ".join(f"{max(float(count[at]) for count in counts):g} {unit}" for at, unit in ((2, "s"), (3, "MB")))
    print(f"{ran} cases of seed {asked.seed} in {time.monotonic() - begun:.0f} s: {bad} bad; at most {worst}")
    return 1 if bad or ran < asked.cases else 0


def _work(numbers: range, seed: int, until: float) -> tuple[int, int, float, float]:
    """One worker's share, told as it goes: cases run, bad ones, the most processor and memory that one took."""
    ran, bad, cpu_s, megabytes = 0, 0, 0.0, 0.0
    for found, wrong in fuzz(numbers, seed, until):
        ran, cpu_s, megabytes = ran + 1, max(cpu_s, found.cpu_s), max(megabytes, found.megabytes)
        if wrong:
            bad += 1
            print(told(found, wrong), flush=True)
    return ran, bad, cpu_s, megabytes


if __name__ == "__main__":
    sys.exit(main())
