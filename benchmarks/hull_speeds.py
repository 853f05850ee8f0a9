"""The estimated polar against published velocity predictions, and the fit of its coefficients.

    python benchmarks/hull_speeds.py [TABLE.csv]          medians and spread of ours over theirs, all cells
    python benchmarks/hull_speeds.py --fit                fit again, and print what belongs in coefficients.py

The table is tests/published/hull_velocity_predictions.csv unless another of the same columns is named; then every hull
in it was held back. Of ours, hulls 1, 5, 9 and so on (every second one as they stand) are the half of the fit, the
others are held back. The published table has no waterline length: it is taken as 0.83 of the length overall, which is
common practice for the years of most of these hulls and has no source.
"""

from __future__ import annotations

import csv
import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.crossings.balance import Form, Trim, best
from passage.crossings.coefficients import FITTED, Coefficients
from passage.crossings.estimate import KNOT_MS, racing_crew_kg, sailing_length_m
from passage.crossings.seaway import SEA_KG_M3

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

TABLE = Path(__file__).parent.parent / "tests" / "published" / "hull_velocity_predictions.csv"
WATERLINE_SHARE = 0.83
REACHES_DEG = (52.0, 60.0, 75.0, 90.0, 110.0, 120.0, 135.0, 150.0)
BEATS_DEG = np.arange(34.0, 52.0, 4.0)
RUNS_DEG = np.array([140.0, 146.0, 153.0, 160.0, 170.0, 178.0])
SET_FROM_GEOMETRY = (
    "friction",
    "wave_heeled",
    "hiking",
    "centre",
    "kite_higher",
    "windage",
)  # they give the forces their scale
CELLS = ("beat", *(f"{angle:g}" for angle in REACHES_DEG), "run")


class Published(NamedTuple):
    """hulls: by number. form: arrays (hulls, 1, 1). speed_kn: (hulls, winds, cells), made good on the beat and run."""

    hulls: tuple[int, ...]
    form: Form
    wind_kn: Floats
    speed_kn: Floats


def read(path: Path) -> Published:
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    hulls = list({row["hull"]: row for row in rows}.values())
    winds = sorted({float(row["true_wind_kn"]) for row in rows})
    keys = ("beat_vmg_kn", *(f"kn_{angle:g}" for angle in REACHES_DEG), "run_vmg_kn")
    found = {(row["hull"], float(row["true_wind_kn"])): [float(row[key] or "nan") for key in keys] for row in rows}
    speeds = np.array([[found[hull["hull"], wind] for wind in winds] for hull in hulls])
    return Published(tuple(int(hull["hull"]) for hull in hulls), _form(hulls), np.array(winds), speeds)


def _form(hulls: list[dict[str, str]]) -> Form:
    def column(key: str) -> Floats:
        return np.array([float(hull[key] or 0.0) for hull in hulls])[:, None, None]

    overall = column("loa_m")
    return Form(
        length_m=sailing_length_m(overall, WATERLINE_SHARE * overall),
        waterline_m=WATERLINE_SHARE * overall,
        volume_m3=column("displacement_kg") / SEA_KG_M3,
        beam_m=column("beam_m"),
        draught_m=column("draft_m"),
        crew_kg=racing_crew_kg(overall),
        main_m2=column("main_m2"),
        headsail_m2=column("genoa_m2"),
        kite_m2=np.maximum(column("spinnaker_m2"), column("asymmetric_m2")),
        asymmetric=(column("asymmetric_m2") > column("spinnaker_m2")).astype(float),
    )


def half(published: Published, fit: bool) -> Published:
    """The half of the fit, or the one held back."""
    rows = slice(0 if fit else 1, None, 2)
    form = replace(published.form, **{name: value[rows] for name, value in vars(published.form).items()})
    return Published(published.hulls[rows], form, published.wind_kn, published.speed_kn[rows])


def ours_kn(published: Published, known: Coefficients = FITTED) -> Floats:
    """Our speeds in the published cells, (hulls, winds, cells)."""
    angles = np.concatenate([BEATS_DEG, REACHES_DEG, RUNS_DEG])
    cells = (published.form, Trim(), published.wind_kn[:, None] * KNOT_MS, np.radians(angles), known)
    speed = best(*cells).speed_ms / KNOT_MS
    beats, runs = len(BEATS_DEG), len(angles) - len(RUNS_DEG)
    upwind = (speed[..., :beats] * np.cos(np.radians(BEATS_DEG))).max(axis=-1)
    downwind = (speed[..., runs:] * -np.cos(np.radians(RUNS_DEG))).max(axis=-1)
    return np.concatenate([upwind[..., None], speed[..., beats:runs], downwind[..., None]], axis=-1)


def fit(published: Published) -> Coefficients:
    """Least squares of the logarithms of speed, drawn lightly towards where it starts from."""
    from scipy.optimize import least_squares

    start = _packed(FITTED)
    scale = np.maximum(np.abs(start), 0.1)

    def misfit(packed: Floats) -> Floats:
        ratio = np.log(ours_kn(published, _unpacked(packed)) / published.speed_kn)
        return np.concatenate([np.clip(ratio, -0.5, 0.5).ravel(), 0.15 * (packed - start) / scale])

    return _unpacked(least_squares(misfit, start, max_nfev=30, diff_step=1e-3, x_scale=scale).x)


def _packed(known: Coefficients) -> Floats:
    """Free numbers; steps of the wave resistance as logarithms, so that it rises with speed."""
    values = [value for name, value in vars(known).items() if name not in ("wave", *SET_FROM_GEOMETRY)]
    return np.concatenate([np.log(np.diff(known.wave)), *(np.atleast_1d(value) for value in values)])


def _unpacked(packed: Floats) -> Coefficients:
    steps = len(FITTED.wave) - 1
    wave = (0.0, *np.cumsum(np.exp(packed[:steps])))
    rest, at = {name: getattr(FITTED, name) for name in SET_FROM_GEOMETRY}, steps
    for name, value in vars(FITTED).items():
        if name in ("wave", *SET_FROM_GEOMETRY):
            continue
        size = len(np.atleast_1d(value))
        found = tuple(float(number) for number in packed[at : at + size])
        rest[name] = found if isinstance(value, tuple) else found[0]
        at += size
    return Coefficients(wave=tuple(float(number) for number in wave), **rest)


def show(title: str, published: Published, known: Coefficients = FITTED) -> None:
    ratio = ours_kn(published, known) / published.speed_kn
    for name, cells in (("median", np.nanmedian(ratio, axis=0)), ("sd", np.nanstd(ratio, axis=0))):
        print(f"\n{title}: {name} of ours over theirs, {len(published.hulls)} hulls")
        print("  wind" + "".join(f"{cell:>7}" for cell in CELLS))
        for wind, row in zip(published.wind_kn, cells, strict=True):
            print(f"{wind:6g}" + "".join(f"{value:7.3f}" for value in row))
        print(f"  from {cells.min():.3f} to {cells.max():.3f}")
    print(f"  sd of all {np.nanstd(ratio):.3f}")


def main(arguments: list[str]) -> None:
    known = FITTED
    if arguments == ["--fit"]:
        known = fit(half(read(TABLE), fit=True))
        for name, value in vars(known).items():
            print(
                f"    {name}={tuple(float(f'{n:.4g}') for n in value) if isinstance(value, tuple) else f'{value:.4g}'},"
            )
    if arguments and arguments != ["--fit"]:
        show("held back", read(Path(arguments[0])))
        return
    published = read(TABLE)
    show("half of the fit", half(published, fit=True), known)
    show("held back", half(published, fit=False), known)


if __name__ == "__main__":
    main(sys.argv[1:])
