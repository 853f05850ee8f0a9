"""Ten ocean voyages between real harbours: each must lay a track, in a time that is printed.

    python -m benchmarks.ten_voyages [current]

With "current" the shipped current sets everywhere. The boat is invented; the positions are of waters off the harbours,
for planning only. Exits 1 where one is refused, or where exact land lies across a track.
"""

from __future__ import annotations

import sys
import time
from datetime import UTC, datetime

from passage.crossings.at_sea import sailing_polar
from passage.crossings.helm import rig_out
from passage.crossings.search.expected import ExpectedSpeeds
from passage.crossings.search.find import Search, find_track
from passage.crossings.search.lines import normals, places_along
from passage.crossings.search.region import Ends
from passage.inputs.climate import read_climate
from passage.inputs.current import shipped_grid
from passage.inputs.folder import read_folder
from passage.inputs.search import TrackLimits
from passage.sailings.land import land_hits
from passage.shipped import shipped

VOYAGES = (
    ("Puerto Ayora to Taiohae", Ends(-0.82, -90.35, -8.95, -140.1), (4, 1)),
    ("Las Palmas to Bridgetown", Ends(28.12, -15.38, 13.08, -59.63), (12, 1)),
    ("San Francisco to Honolulu", Ends(37.75, -122.6, 21.26, -157.87), (6, 15)),
    ("Honolulu to Kodiak", Ends(21.26, -157.87, 57.72, -152.3), (7, 1)),
    ("Auckland to Suva, over 180", Ends(-36.75, 174.9, -18.18, 178.4), (5, 10)),
    ("Reykjavik to Bergen", Ends(64.2, -22.1, 60.4, 4.85), (7, 1)),
    ("Cape Town to Salvador", Ends(-33.85, 18.35, -13.05, -38.55), (1, 15)),
    ("Colombo to Djibouti", Ends(6.95, 79.75, 11.7, 43.3), (1, 20)),
    ("Fremantle to Port Louis", Ends(-32.0, 115.65, -20.12, 57.45), (6, 1)),
    ("Yokohama to San Francisco, over 180", Ends(35.3, 139.72, 37.75, -122.6), (6, 1)),
)


def main() -> int:
    facts = read_folder(shipped("routes") / "lagos-azores")
    vessel = rig_out(facts.boat, sailing_polar(facts.boat, facts.polar))
    climate, limits, bad = read_climate(), TrackLimits(), 0
    current = shipped_grid() if "current" in sys.argv[1:] else None
    for name, ends, (month, day) in VOYAGES:
        depart = datetime(2027, month, day, tzinfo=UTC)
        began, worked = time.perf_counter(), time.process_time()
        speeds = ExpectedSpeeds(climate, vessel, depart, limits.prices, current)
        try:
            found = find_track(Search(ends, speeds, limits, depart))
        except Exception as refusal:
            print(f"{name:36s} REFUSED {refusal}")
            bad += 1
            continue
        took, cpu = time.perf_counter() - began, time.process_time() - worked
        land = land_hits(*places_along(normals(found.lat_deg, found.lon_deg), 50.0))
        bad += bool(land)
        print(
            f"{name:36s} {found.distance_nm:6,.0f} nm {found.hours / 24.0:5.1f} d {len(found.lat_deg):3d} waypoints "
            f"{found.kept_clear_nm:3.0f} nm off {took:5.1f} s, {cpu:5.1f} s of processor{' LAND' if land else ''}",
            flush=True,
        )
    return bad


if __name__ == "__main__":
    sys.exit(main())
