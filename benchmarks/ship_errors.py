"""What taking the ships' errors out of the wind's spread does to it, to calms and to strong wind.

    python benchmarks/ship_errors.py FOLDER_WITH_THE_TWO_FILES

The folder is that of climatology_demo/build.py. Places are those of moored buoys of the tropical arrays and of the
westerlies and trades; no buoy record is read here. The design's comparison with tropical buoys (their records are not
shipped) is what the columns are to be held against: spread 6 per cent too wide, calms right, four to six times too many
hours of force 8. ``less 2.1^2`` is what would be left if the square of the speed's error were subtracted in each part.
"""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.stats import ncx2

from passage.inputs.climate import along, read_climate
from passage.inputs.reports import SPEED_ERROR_KN

Floats = NDArray[np.float64]

CALM_KN, STRONG_KN, GALE_KN = 4.0, 28.0, 34.0
PLACES = {
    "0 140 W": (0.0, -140.0),
    "0 110 W": (0.0, -110.0),
    "8 N 125 W": (8.0, -125.0),
    "8 S 155 W": (-8.0, -155.0),
    "15 N 38 W": (15.0, -38.0),
    "10 S 10 W": (-10.0, -10.0),
    "23 N 162 W": (23.0, -162.0),
    "38 N 71 W": (38.0, -71.0),
    "42 N 131 W": (42.0, -131.0),
    "46 N 20 W": (46.0, -20.0),
    "40 S 20 E": (-40.0, 20.0),
}


def hours_in_1000(vector_kn: Floats, sigma_kn: Floats) -> Floats:
    """Hours in a thousand that are calm, strong and of force 8, means of the twelve months."""
    spread = sigma_kn**2
    limits = np.array([CALM_KN, STRONG_KN, GALE_KN])[:, None] ** 2
    below = ncx2.cdf(limits / spread, 2, vector_kn**2 / spread).mean(axis=1)
    return 1000.0 * np.array([below[0], 1.0 - below[1], 1.0 - below[2]])


def builder() -> Any:
    spec = importlib.util.spec_from_file_location("build", Path("climatology_demo") / "build.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def main(folder: Path) -> None:
    build = builder()
    build.without_error = lambda vector, speed: (vector, speed)  # as reported
    reported_file = folder_of_scratch() / "as_reported.nc"
    build.write(reported_file, folder)
    grids = read_climate(reported_file), read_climate()
    print(
        "place       sigma m/s: reported, without error, less 2.1^2 | hours in 1,000 calm, 28 kn, 34 kn: before; after"
    )
    for name, place in PLACES.items():
        before, after = (along(grid, *place) for grid in grids)
        pairs = [
            (np.hypot(each.wind_east_kn, each.wind_north_kn)[:, 0], each.sigma_kn[:, 0]) for each in (before, after)
        ]
        mean = [np.sqrt((sigma**2).mean()) * 1852 / 3600 for _, sigma in pairs]
        naive = np.sqrt(np.maximum(pairs[0][1] ** 2 - SPEED_ERROR_KN**2, 0.0).mean()) * 1852 / 3600
        hours = ["  ".join(f"{value:7.3f}" for value in hours_in_1000(*pair)) for pair in pairs]
        spread = f"{mean[0]:5.2f}  {mean[1]:5.2f} ({mean[1] / mean[0] - 1:+.1%})  {naive:5.2f}"
        print(f"{name:10s}  {spread} | {'; '.join(hours)}")


def folder_of_scratch() -> Path:
    import tempfile

    return Path(tempfile.mkdtemp())


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    main(Path(sys.argv[1]))
