"""How quick whole commands and their parts are, each as a ratio beside a peer that does stated work, in one run.

    python -m benchmarks.speeds                   # all of it, some five minutes of processor
    python -m benchmarks.speeds sun crossings     # parts: commands, crossings, sun, growth

All times are the processor's own, user and system, on one processor, so that a busy machine tells little else than an
idle one; what is kept from an earlier command is left out, but for the second runs. Python's compiled modules are laid
in a folder of the run's own first, as an installation has them. The peers:

bare Python     ``python -c pass``
plotting tools  ``python -c "import numpy, pandas, matplotlib.pyplot"``, what any program that draws a table has to load
parcels         the general particle simulator of oceanographers, where it is installed: as many particles, as many
                hours, in a wind that is linear between hours and places, by Euler's rule; no boat, no crew, no log
NumPy loop      the same particles by scipy's interpolator, for those who have no parcels
pvlib           its own solar position of the same precision (``ephemeris``), called once for all places and times
"""

from __future__ import annotations

import os
import shutil
import sys
import tempfile
from pathlib import Path
from time import process_time
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from passage.shipped import shipped

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

DEMO = shipped("routes") / "cape-town-st-helena"
PLOTTING = "import numpy, pandas, matplotlib.pyplot"
MEMBERS, HOURS = 10_000, 48
LONG_NM = 8000


class Took(NamedTuple):
    """cpu_s: user and system, of all its threads; peak_mb: resident, of the process alone."""

    cpu_s: float
    peak_mb: float


COMPILED = tempfile.TemporaryDirectory()


def took(words: Sequence[str], kept: str = "no") -> Took:
    """A process of its own, on one processor where the system can say so. kept: where results are kept."""
    told = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    told |= {"PASSAGE_KEPT": kept, "OMP_NUM_THREADS": "1", "PYTHONPATH": str(Path(__file__).parents[1])}
    told |= {"PYTHONPYCACHEPREFIX": COMPILED.name}
    sink = os.open(os.devnull, os.O_WRONLY)
    process = os.posix_spawn(
        sys.executable,
        [sys.executable, *words],
        told,
        file_actions=[(os.POSIX_SPAWN_DUP2, sink, 1), (os.POSIX_SPAWN_DUP2, sink, 2)],
    )
    os.close(sink)
    _, status, used = os.wait4(process, 0)
    if status:
        raise RuntimeError(f"{' '.join(words)} ended with status {status}")
    return Took(used.ru_utime + used.ru_stime, used.ru_maxrss / (1024.0 if sys.platform == "linux" else 1024.0**2))


def least(words: Sequence[str], rounds: int, kept: str = "no") -> Took:
    return min((took(words, kept) for _ in range(rounds)), key=lambda each: each.cpu_s)


def alone() -> None:
    """This process, and those that it starts, on one processor."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})


# ---------------------------------------------------------------- whole commands


def commands() -> None:
    bare, plotting = least(["-c", "pass"], 5).cpu_s, least(["-c", PLOTTING], 3).cpu_s
    print(f"bare Python {1000 * bare:.0f} ms, plotting tools {plotting:.2f} s of processor")
    print("command                  s     x bare Python  x plotting tools   MB at most   a second time, s")
    with tempfile.TemporaryDirectory() as made:
        folder, kept = lay_underway(Path(made) / "voyage"), str(Path(made) / "kept")
        for words in (
            ["--help"],
            ["sail"],
            ["stores"],
            ["check"],
            ["troubles"],
            ["when"],
            ["page", "--out", str(Path(made) / "out")],
            ["export", "csv", "--out", str(Path(made) / "out")],
            ["plan", "--out", str(Path(made) / "out")],
            ["now", "--time", "2027-02-12 13:00"],
        ):
            line = ["-m", "passage", words[0], *([] if words == ["--help"] else [str(folder)]), *words[1:]]
            took(line, kept)  # all modules compiled, all that is kept laid down
            first, again = least(line, 5 if words == ["--help"] else 1), took(line, kept)
            print(
                f"{words[0]:20} {first.cpu_s:8.2f} {first.cpu_s / bare:12.1f} {first.cpu_s / plotting:16.1f} "
                f"{first.peak_mb:14.0f} {again.cpu_s:14.2f}",
                flush=True,
            )


def lay_underway(folder: Path) -> Path:
    """The demonstration in a folder of its own, with an invented log of two days."""
    shutil.copytree(DEMO, folder)
    voyage = folder / "voyage.toml"
    said = voyage.read_text(encoding="utf-8").replace(
        '"../../boats/nine-metre"', f"'{shipped('boats') / 'nine-metre'}'"
    )
    voyage.write_text(said, encoding="utf-8")
    entry = ["-m", "passage", "log", "noon", str(folder), "--yes", "--time"]
    took(["-m", "passage", "log", "start", str(folder), "--time", "2027-02-10 08:00", "--yes"])
    took([*entry, "2027-02-11 12:00", "--position", "33 00S 16 30E", "--log", "110"])
    took([*entry, "2027-02-12 12:00", "--position", "32 00S 14 40E", "--log", "108"])
    return folder


# ---------------------------------------------------------------- crossings beside particles


def crossings() -> None:
    from passage.crossings.simulate import sail
    from passage.crossings.wind import Luck
    from passage.ground import lay_ground
    from passage.inputs.folder import read_folder

    facts = read_folder(DEMO)
    ground, depart = lay_ground(facts), facts.voyage.departure.depart
    began = process_time()
    sailed = sail(ground, depart, Luck(1, MEMBERS))
    ours = float(sailed.under_way.sum()) / (process_time() - began)
    print(f"{MEMBERS:,} crossings with their luck, log and crew: {ours / 1e6:.2f} million member-hours a second")
    for name, peer in (("parcels", by_parcels), ("NumPy loop", by_numpy)):
        try:
            theirs = MEMBERS * HOURS / peer()
        except ImportError:
            print(f"{name} is not installed here")
            continue
        print(f"{name}: {theirs / 1e6:.2f} million; ours are {ours / theirs:.1f} times as quick", flush=True)


def invented_wind() -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """Hours, latitudes, longitudes, and an invented drift in m/s, (east and north, hours, lat, lon)."""
    hours, lat, lon = np.arange(0.0, HOURS + 7, 6), np.arange(-40.0, 0.0, 2.0), np.arange(-20.0, 24.0, 2.0)
    chance = np.random.default_rng(1)
    mean = np.array([-1.5, 1.0])[:, None, None, None]
    return hours, lat, lon, chance.normal(mean, 0.5, (2, len(hours), len(lat), len(lon))).astype(np.float32)


def by_numpy() -> float:
    """Seconds of a plain loop over the hours."""
    from scipy.interpolate import RegularGridInterpolator

    hours, lat, lon, wind = invented_wind()
    along = RegularGridInterpolator((hours, lat, lon), np.moveaxis(wind, 0, -1))
    place = np.column_stack((np.full(MEMBERS, -33.0), np.full(MEMBERS, 17.5)))
    began = process_time()
    for hour in range(HOURS):
        east, north = along(np.column_stack((np.full(MEMBERS, float(hour)), place))).T
        place[:, 0] += north * 3600.0 / (1852.0 * 60.0)
        place[:, 1] += east * 3600.0 / (1852.0 * 60.0 * np.cos(np.radians(place[:, 0])))
    return process_time() - began


def by_parcels() -> float:
    """Seconds of the same by parcels 4. Raises ImportError without it."""
    import parcels
    import xarray as xr

    hours, lat, lon, wind = invented_wind()
    start = np.datetime64("2027-02-10T08:00", "ns")
    axes: dict[str, Any] = {
        "time": ("time", start + hours.astype(int) * np.timedelta64(1, "h"), {"axis": "T"}),
        "depth": ("depth", [0.0], {"axis": "Z", "positive": "down", "units": "m"}),
        "latitude": ("latitude", lat, {"axis": "Y", "units": "degrees_north", "standard_name": "latitude"}),
        "longitude": ("longitude", lon, {"axis": "X", "units": "degrees_east", "standard_name": "longitude"}),
    }
    named = {"U": "eastward_sea_water_velocity", "V": "northward_sea_water_velocity"}
    fields = {
        name: xr.DataArray(part[:, None], axes, list(axes), name, {"units": "m s-1", "standard_name": named[name]})
        for name, part in zip(named, wind, strict=True)
    }
    drift = parcels.FieldSet.from_sgrid_conventions(parcels.convert.copernicusmarine_to_sgrid(fields=fields))
    everywhere = {"x": np.full(MEMBERS, 17.5), "y": np.full(MEMBERS, -33.0), "z": np.zeros(MEMBERS)}
    particles = parcels.ParticleSet(drift, t=np.full(MEMBERS, start), **everywhere)
    hour = np.timedelta64(3600, "s")
    began = process_time()
    particles.execute(parcels.kernels.AdvectionEE, dt=hour, runtime=HOURS * hour, verbose_progress=False)
    return process_time() - began


# ---------------------------------------------------------------- the sun


def sun() -> None:
    import pandas as pd
    import pvlib

    from passage.consequences.power.sun import sun_at

    times = np.datetime64("2027-01-15T08:30", "s") + np.arange(888) * np.timedelta64(3600, "s")
    lat, lon = np.linspace(-34.0, -16.0, 12), np.linspace(18.0, -6.0, 12)
    everywhen = pd.DatetimeIndex(np.repeat(times, len(lat)), tz="UTC")
    places = np.tile(lat, len(times)), np.tile(lon, len(times))
    ours, found = quickest(lambda: sun_at(times[:, None], lat, lon), 20)
    theirs, peer = quickest(lambda: pvlib.solarposition.ephemeris(everywhen, *places), 5)
    apart_deg = np.abs(peer["elevation"].to_numpy() - found.altitude_deg.ravel()).max()
    print(f"sun at {found.up.size:,} times and places: {1000 * ours:.2f} ms, pvlib on arrays {1000 * theirs:.2f} ms,")
    print(f"{theirs / ours:.1f} times as quick; {apart_deg:.4f} degrees apart at most")


def quickest(work: Callable[[], Any], rounds: int) -> tuple[float, Any]:
    """Least seconds of so many rounds, and the last result."""
    best = np.inf
    for _ in range(rounds):
        began = process_time()
        result = work()
        best = min(best, process_time() - began)
    return best, result


# ---------------------------------------------------------------- growth


def growth() -> None:
    """Whether time and memory grow in line with crossings and with miles."""
    with tempfile.TemporaryDirectory() as made:
        far = lay_far(Path(made) / "far")
        print("command               crossings    miles   s of processor    MB at most")
        for command, folder, members, miles in (
            ("sail", DEMO, 1000, 1700),
            ("sail", DEMO, 4000, 1700),
            ("sail", DEMO, 20_000, 1700),
            ("sail", far, 1000, LONG_NM),
            ("plan", DEMO, 1000, 1700),
            ("plan", DEMO, 4000, 1700),
            ("plan", far, 1000, LONG_NM),
        ):
            out = ["--out", str(Path(made) / "out.pdf")] if command == "plan" else []
            used = took(["-m", "passage", command, str(folder), "--crossings", str(members), *out])
            print(f"{command:20} {members:10,} {miles:8,} {used.cpu_s:16.1f} {used.peak_mb:13.0f}", flush=True)


def lay_far(folder: Path) -> Path:
    """The demonstration's boat on an invented track of 8,000 miles along 40 degrees south; no harbour, no sense."""
    shutil.copytree(DEMO, folder)
    (folder / "anchorage.toml").unlink()
    voyage = (DEMO / "voyage.toml").read_text(encoding="utf-8")
    head, reserve = voyage[: voyage.index("[[waypoint]]")], voyage[voyage.index("[reserve]") :]
    head = head.replace('"../../boats/nine-metre"', f"'{shipped('boats') / 'nine-metre'}'")
    head = head.replace('expected_distance = "1690 nm"', "")
    places = ("40 00S 48 00W", ""), ("40 00S 126 30E", 'sailing = "rhumb line"')
    track = [f'[[waypoint]]\nname = "{place}"\nposition = "{place}"\n{way}\n' for place, way in places]
    (folder / "voyage.toml").write_text("\n".join([head, *track, reserve]), encoding="utf-8")
    return folder


PARTS = {"sun": sun, "crossings": crossings, "commands": commands, "growth": growth}


def main(words: Sequence[str] | None = None) -> None:
    alone()
    for name in (sys.argv[1:] if words is None else words) or PARTS:
        PARTS[name]()
        print(flush=True)


if __name__ == "__main__":
    main()
