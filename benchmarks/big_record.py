"""A record larger than memory made into a climate file.

    python benchmarks/big_record.py [--gb 20] [--memory-gb 4]

The wind is INVENTED as it is asked for, without touching the disk: 6-hourly, one autoregression of each part in blocks
of time, known mean and spread. The process may not hold more than it is allowed (a limit on its address space; where
that cannot be set it says so), and says at the end how much it held, how long it took, and what came back.
"""

from __future__ import annotations

import argparse
import resource
import time

import dask
import dask.array as da
import numpy as np
import xarray as xr

from passage.reanalysis.sums import summed
from passage.reanalysis.written import climate_file

EAST_MS, NORTH_MS, SIGMA_MS, EFOLDING_H, STEP_H = -4.0, 3.0, 2.5, 36.0, 6
ROWS, COLUMNS, PIECE = 240, 480, 124
KEEP = np.exp(-STEP_H / EFOLDING_H)


def block(number: int, mean: float, steps: int) -> np.ndarray:
    """A month or so of one part, (steps, rows, columns): its own luck, stationary from its first hour."""
    draws = np.random.default_rng(number).standard_normal((steps, ROWS, COLUMNS), dtype=np.float32)
    for at in range(1, steps):
        draws[at] = KEEP * draws[at - 1] + np.sqrt(1.0 - KEEP**2) * draws[at]
    return np.float32(mean) + np.float32(SIGMA_MS) * draws


def field(mean: float, steps: int, seed: int) -> da.Array:
    lengths = [min(PIECE, steps - first) for first in range(0, steps, PIECE)]
    blocks = [
        da.from_delayed(dask.delayed(block)(seed + number, mean, length), (length, ROWS, COLUMNS), np.float32)
        for number, length in enumerate(lengths)
    ]
    return da.concatenate(blocks)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--gb", type=float, default=20.0)
    parser.add_argument("--memory-gb", type=float, default=4.0)
    asked = parser.parse_args()
    limit = int(asked.memory_gb * 2**30)
    resource.setrlimit(resource.RLIMIT_AS, (limit, limit))
    steps = int(asked.gb * 2**30 / (2 * 4 * ROWS * COLUMNS))
    times = np.datetime64("1990-01-01T00", "ns") + np.arange(steps) * np.timedelta64(STEP_H, "h")
    axes = {"time": times, "lat": np.arange(ROWS) * 0.5 - 60.0, "lon": np.arange(COLUMNS) * 0.5 - 120.0}
    parts = {"east": (list(axes), field(EAST_MS, steps, 0)), "north": (list(axes), field(NORTH_MS, steps, 10**6))}
    fields = xr.Dataset(parts, coords=axes)
    begun = time.perf_counter()
    with dask.config.set(scheduler="threads", num_workers=2):
        record = summed(fields, lambda share: print(f"\r{100 * share:3.0f} %", end="", flush=True))
    content = climate_file(record, "invented", (1990, int(str(times[-1])[:4])))
    held = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    print(f"\r{fields.nbytes / 2**30:.1f} GB of fields, at most {held:.2f} GB held of {asked.memory_gb:g} allowed")
    print(
        f"{time.perf_counter() - begun:.0f} s, of processor {time.process_time():.0f}; a file of {len(content):,} bytes"
    )
    print(f"mean {record.east_ms.mean():.3f}, {record.north_ms.mean():.3f} m/s (made {EAST_MS}, {NORTH_MS})")
    print(f"spread {record.spread_ms.mean():.3f} m/s (made {SIGMA_MS})")
    print(f"e-folding {np.nanmedian(record.persistence_h):.1f} h (made {EFOLDING_H}; blocks are strangers)")
    print(f"whole years {len(record.east_off_ms) // 12} from {record.first_year}")


if __name__ == "__main__":
    main()
