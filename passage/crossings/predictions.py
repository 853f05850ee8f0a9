"""Published velocity predictions of rating certificates, and ours in the same cells: what the estimate was fitted to.

Hulls 1, 5, 9 and so on (every second one as they stand) are the half of the fit, the others are held back. The table
has no waterline length: it is taken as 0.83 of the length overall, which is common practice for the years of most of
these hulls and has no source.
"""

from __future__ import annotations

import csv
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from passage.crossings.balance import Form, Trim, best
from passage.crossings.coefficients import FITTED, Coefficients
from passage.crossings.estimate import KNOT_MS, racing_crew_kg, sailing_length_m
from passage.crossings.seaway import SEA_KG_M3

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

WATERLINE_SHARE = 0.83
REACHES_DEG = (52.0, 60.0, 75.0, 90.0, 110.0, 120.0, 135.0, 150.0)
BEATS_DEG = np.arange(34.0, 52.0, 4.0)
RUNS_DEG = np.array([140.0, 146.0, 153.0, 160.0, 170.0, 178.0])
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
