"""The estimated polar against published velocity predictions, and the fit of its coefficients.

    python benchmarks/hull_speeds.py [TABLE.csv]          medians and spread of ours over theirs, all cells
    python benchmarks/hull_speeds.py --fit                fit again, and print what belongs in coefficients.py

The table is tests/published/hull_velocity_predictions.csv unless another of the same columns is named; then every hull
in it was held back. Of ours, hulls 1, 5, 9 and so on (every second one as they stand) are the half of the fit, the
others are held back.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from passage.crossings.coefficients import FITTED, Coefficients
from passage.crossings.predictions import CELLS, Published, half, ours_kn, read

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

TABLE = Path(__file__).parent.parent / "tests" / "published" / "hull_velocity_predictions.csv"
SET_FROM_GEOMETRY = (
    "friction",
    "wave_heeled",
    "hiking",
    "centre",
    "kite_higher",
    "windage",
)  # they give the forces their scale


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
