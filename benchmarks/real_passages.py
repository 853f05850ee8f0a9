"""Where real passages of small boats stand among our crossings, by group: upwind, trades, mixed.

    python benchmarks/real_passages.py [TABLE.csv] [--crossings N] [--smooth]

For each passage a boat of its length and of the published hulls' usual proportions is sailed from the same place on
the same day of the year; rank is the share of our crossings that were quicker. Nothing is fitted here, and no constant
of the tool was set from these passages. ``--smooth`` leaves the effects of the sea out.

A length that the table does not give is the one that its note or this script assumes, and marked so. Boats are taken
without spinnaker, with every default of the boat file, a tenth heavier than the published hulls, which is what fitting
out and provisioning add (answers of a rating rule's office on displacement, read, S), and with thirty hours of fuel for
calms unless the table says that no engine was used.

Boats that left together met one weather: their mean rank says as much about that year as about ours, so that it stands
by itself too.
"""

from __future__ import annotations

import csv
import re
import sys
import tempfile
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from typing import NamedTuple

import numpy as np

from passage.crossings.lanes import lane_of
from passage.crossings.simulate import sail_lanes
from passage.crossings.wind import Luck
from passage.ground import ground_under
from passage.inputs.folder import read_folder
from passage.sailings.track import Leg, lay_track

TABLE = Path(__file__).parent.parent / "tests" / "published" / "real_passages.csv"
FOOT_M = 0.3048
LADEN = 1.1
ASSUMED_FT = {"upwind": 26.0, "trades": 40.0, "mixed": 32.0}
SLOW_SHARE = 0.95
SEED = 1
CREW = '[[person]]\nrole = "skipper"\nmass = "75 kg"\nage = 50\nsex = "M"\n'
VOYAGE = """
waypoint = [
    { name = "off Lagos", position = "37 00.0N 009 00.0W" },
    { name = "off Horta", position = "38 24.0N 028 30.0W" },
]
[voyage]
name = "a real passage, its track laid elsewhere"
depart = "2027-06-01 12:00"
"""


class Ranked(NamedTuple):
    """year: where she left, and when. rank: share of crossings that were quicker. fast_d, typical_d, slow_d: a tenth,
    half and 95 in 100 are in.
    """

    group: str
    year: str
    words: str
    days: float
    rank: float
    fast_d: float
    typical_d: float
    slow_d: float


def boat_toml(length_m: float, engine: bool, smooth: bool) -> str:
    """Median proportions of the published hulls; the waterline as in hull_speeds.py."""
    volume = 5.65 * length_m**3 / 1025.0
    motor = '[engine]\ncruising_speed = "5 kn"\nconsumption = "1.5 L/h"\n' if engine else ""
    fuel = '[[fuel_tank]]\nname = "fuel"\ncapacity = "90 L"\n[fuel]\ncalms_allowance = "45 L"\n' if engine else ""
    return f"""
[boat]
name = "usual proportions"
length_overall = "{length_m:.2f} m"
waterline_length = "{0.83 * length_m:.2f} m"
beam = "{0.336 * length_m:.2f} m"
draught = "{0.183 * length_m:.2f} m"
displacement = "{LADEN * 1025.0 * volume:.0f} kg"
sail_area = "{19.4 * volume ** (2 / 3):.1f} m2"
[polar]
estimate = true
[at_sea]
reckoned = {"false" if smooth else "true"}
[helm]
motoring = {"true" if engine else "false"}
{motor}{fuel}[[water_tank]]
name = "water"
capacity = "150 L"
"""


def ranked(row: dict[str, str], crossings: int, smooth: bool) -> Ranked:
    length_ft = float(row["loa_ft"] or ASSUMED_FT[row["group"]])
    depart = datetime.strptime(row["depart_utc"], "%Y-%m-%d %H:%M").replace(tzinfo=UTC, year=2027)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "voyage"
        folder.mkdir()
        engine = row["engine_used"] != "no"
        for file, text in {
            "boat": boat_toml(length_ft * FOOT_M, engine, smooth),
            "crew": CREW,
            "voyage": VOYAGE,
        }.items():
            (folder / f"{file}.toml").write_text(text, "utf-8")
        facts = read_folder(folder)
    places = [(float(row["from_lat"]), float(row["from_lon"])), *_via(row["via"])]
    places.append((float(row["to_lat"]), float(row["to_lon"])))
    legs = tuple(Leg(*start, *end, "great circle") for start, end in pairwise(places))
    ground = ground_under(facts, lay_track(legs), depart)
    sailed = sail_lanes([lane_of(ground, depart, Luck(SEED, crossings))])[0]
    arrival_d = np.sort(sailed.arrival_h) / 24.0
    days = float(row["days"])
    fast, typical, slow = (float(np.quantile(arrival_d, share)) for share in (0.1, 0.5, SLOW_SHARE))
    words = f"{row['from']} to {row['to']}, {length_ft:g} ft{'' if row['loa_ft'] else ' assumed'}"
    year = f"{row['from']} {row['depart_utc'][:4]}"
    return Ranked(row["group"], year, words, days, float((arrival_d < days).mean()), fast, typical, slow)


def _via(words: str) -> list[tuple[float, float]]:
    numbers = [float(number) for number in re.findall(r"-?\d+\.\d+", words)]
    return [(numbers[0], numbers[1])] if len(numbers) == 2 else []


def main(arguments: list[str]) -> None:
    crossings = int(arguments[arguments.index("--crossings") + 1]) if "--crossings" in arguments else 400
    tables = [Path(argument) for argument in arguments if argument.endswith(".csv")]
    with (tables[0] if tables else TABLE).open(encoding="utf-8", newline="") as file:
        rows = [ranked(row, crossings, "--smooth" in arguments) for row in csv.DictReader(file)]
    print(f"{'':46}{'real':>7}{'rank':>7}   ours: 1 in 10, half, slow end (days)")
    for row in rows:
        print(f"{row.words:46}{row.days:7.1f}{row.rank:7.2f}{row.fast_d:10.1f}{row.typical_d:7.1f}{row.slow_d:7.1f}")
    for group in dict.fromkeys(row.group for row in rows):
        of = [row for row in rows if row.group == group]
        show(group, of)
        for year in dict.fromkeys(row.year for row in of):
            show(f"    {year}", [row for row in of if row.year == year])


def show(title: str, rows: list[Ranked]) -> None:
    late = sum(row.days > row.slow_d + 1.0 for row in rows)
    rank, longer = np.mean([row.rank for row in rows]), np.mean([row.days / row.typical_d for row in rows])
    print(
        f"{title}: mean rank {rank:.2f}, {longer:.2f} of our typical time; "
        f"{late} of {len(rows)} beyond our slow end by more than a day"
    )


if __name__ == "__main__":
    main(sys.argv[1:])
