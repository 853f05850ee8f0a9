"""Where real passages of small boats stand among our crossings, by group, and what that says.

    python benchmarks/real_passages.py [TABLE.csv] [--crossings N] [--smooth] [--breaks]

For each passage a boat of its length and of the published hulls' usual proportions is sailed from the same place on
the same day of the year; rank is the share of our crossings that were quicker. Nothing is fitted here, and no constant
of the tool was set from these passages. ``--smooth`` leaves the effects of the sea out;
``--breaks`` ranks them among crossings in which things break at the likely rates, as they did in the real ones.

A length that the table does not give is the one that its note or this script assumes, and marked so. Boats are taken
without spinnaker, with every default of the boat file, a tenth heavier than the published hulls, which is what fitting
out and provisioning add (answers of a rating rule's office on displacement, read, S), and with thirty hours of fuel for
calms unless the table says that no engine was used: ``no`` where none is known to be aboard, ``aboard`` where one was
carried, and its fixed propeller dragged, but never drove her.

Boats that left together met one weather, so that a year counts for little more than a boat. How far a group's mean rank
would stray from a half by luck alone is told by our own crossings: for each start one weather is drawn, in which all
boats of that start sail, each with a performance of her own. The mean of the years' means leans least on a large fleet.

Of ``trades`` and ``mixed`` those stand apart that sailed alone before there was
wind-vane steering gear (about 1955, from memory) and mostly lay to or let her wander while they slept; and those whose
length was not read: a tenth more of it makes some 3 % less of the time.

``upwind`` holds starts of which every arrival was read but those that the notes name; of ``upwind, first of a list``
the quickest alone were, so that its ranks are too low. Neither has those that gave up, half or more of the small
fleets, and but with ``--breaks`` in no crossing of ours does anything break. By the years in their order every second
start is *kept*: nothing was set from it, nor from the others, and whoever sets something from the others tries it on
these.
"""

from __future__ import annotations

import csv
import re
import sys
import tempfile
from datetime import UTC, datetime
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from passage.crossings.lanes import lane_of
from passage.crossings.simulate import arrivals_h
from passage.crossings.wind import Luck
from passage.ground import ground_under
from passage.inputs.folder import read_folder
from passage.road import walk
from passage.sailings.track import Leg, lay_track
from passage.troubles.struck import ends_of, strike

if TYPE_CHECKING:
    from passage.crossings.ground import Ground
    from passage.inputs.folder import Facts

Floats = NDArray[np.float64]

TABLE = Path(__file__).parent.parent / "tests" / "published" / "real_passages.csv"
FOOT_M = 0.3048
LADEN = 1.1
ASSUMED_FT = {
    "upwind": 26.0,
    "upwind, first of a list": 26.0,
    "trades, length not read": 40.0,
    "mixed, length not read": 40.0,
}
SLOW_SHARE = 0.95
SEED = 1
DRAWS = 20_000
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
    """start: where and in which year she left. rank: share of crossings that were quicker. fast_d, typical_d, slow_d: a
    tenth, half and 95 in 100 are in. ours_d: crossings by weather, which boats of one start share, (weathers,).
    """

    group: str
    start: str
    words: str
    days: float
    rank: float
    fast_d: float
    typical_d: float
    slow_d: float
    ours_d: Floats


def boat_toml(length_m: float, engine_used: str, smooth: bool) -> str:
    """Median proportions of the published hulls; the waterline as in hull_speeds.py. engine_used: as in the table."""
    volume = 5.65 * length_m**3 / 1025.0
    aboard, motors = engine_used != "no", engine_used not in ("no", "aboard")
    motor = '[engine]\ncruising_speed = "5 kn"\nconsumption = "1.5 L/h"\n' if aboard else ""
    fuel = '[[fuel_tank]]\nname = "fuel"\ncapacity = "90 L"\n[fuel]\ncalms_allowance = "45 L"\n' if motors else ""
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
motoring = {"true" if motors else "false"}
{motor}{fuel}[[water_tank]]
name = "water"
capacity = "150 L"
"""


def ranked(row: dict[str, str], crossings: int, *, smooth: bool = False, breaks: bool = False) -> Ranked:
    length_ft = float(row["loa_ft"] or ASSUMED_FT[row["group"]])
    depart = datetime.strptime(row["depart_utc"], "%Y-%m-%d %H:%M").replace(tzinfo=UTC, year=2027)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "voyage"
        folder.mkdir()
        for file, text in {
            "boat": boat_toml(length_ft * FOOT_M, row["engine_used"], smooth),
            "crew": CREW,
            "voyage": VOYAGE,
        }.items():
            (folder / f"{file}.toml").write_text(text, "utf-8")
        facts = read_folder(folder)
    places = [(float(row["from_lat"]), float(row["from_lon"])), *_via(row["via"])]
    places.append((float(row["to_lat"]), float(row["to_lon"])))
    legs = tuple(Leg(*start, *end, "great circle") for start, end in pairwise(places))
    ground = ground_under(facts, lay_track(legs), depart)
    lane = lane_of(ground, depart, Luck(SEED, crossings))
    own = np.random.default_rng([SEED, *row["days"].encode()]).permutation(lane.performance)
    lane = lane._replace(performance=own)
    ours_d = (_as_boats_break(facts, ground, depart, crossings) if breaks else arrivals_h([lane])[0]) / 24.0
    days = float(row["days"])
    fast, typical, slow = (float(np.quantile(ours_d, share, method="lower")) for share in (0.1, 0.5, SLOW_SHARE))
    words = f"{row['from']} to {row['to']}, {length_ft:g} ft{'' if row['loa_ft'] else ' assumed'}"
    start = f"{row['from']} {row['depart_utc'][:4]}"
    return Ranked(row["group"], start, words, days, float((ours_d < days).mean()), fast, typical, slow, ours_d)


def _as_boats_break(facts: Facts, ground: Ground, depart: datetime, crossings: int) -> Floats:
    """Hours to landfall at the likely rates; the performance of crossing 7 is one for all boats of a start."""
    outcome = walk(facts, ground, Luck(SEED, crossings), depart)
    struck = strike(outcome)
    assert struck is not None
    return ends_of(outcome, struck)[1].arrival_h


def _via(words: str) -> list[tuple[float, float]]:
    numbers = [float(number) for number in re.findall(r"-?\d+\.\d+", words)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


class Luckless(NamedTuple):
    """What groups of our own crossings give, each start in one weather, (draws,): mean rank of the boats and of the
    years, and boats that are late.
    """

    boats: Floats
    years: Floats
    late: Floats


def by_start(rows: list[Ranked]) -> dict[str, list[Ranked]]:
    """In the order of the years."""
    starts = sorted({row.start for row in rows}, key=lambda start: start[-4:])
    return {start: [row for row in rows if row.start == start] for start in starts}


def of_ours(rows: list[Ranked]) -> Luckless:
    """Groups like this one whose boats are crossings of ours."""
    rng = np.random.default_rng(SEED)
    ranks, late = [], []
    for fleet in by_start(rows).values():
        weather = rng.integers(len(fleet[0].ours_d), size=DRAWS)
        own = np.stack([row.ours_d for row in fleet])
        order = (own.argsort(axis=1).argsort(axis=1) + 0.5) / own.shape[1]
        slow_d = np.array([row.slow_d for row in fleet])[:, None]
        ranks.append(order[:, weather])
        late.append((own > slow_d + 1.0)[:, weather])
    means = np.stack([of.mean(axis=0) for of in ranks])
    return Luckless(np.concatenate(ranks).mean(axis=0), means.mean(axis=0), np.concatenate(late).sum(axis=0))


def main(arguments: list[str]) -> None:
    crossings = int(arguments[arguments.index("--crossings") + 1]) if "--crossings" in arguments else 400
    tables = [Path(argument) for argument in arguments if argument.endswith(".csv")]
    with (tables[0] if tables else TABLE).open(encoding="utf-8", newline="") as file:
        rows = [
            ranked(row, crossings, smooth="--smooth" in arguments, breaks="--breaks" in arguments)
            for row in csv.DictReader(file)
        ]
    print(f"{'':46}{'real':>7}{'rank':>7}   ours: 1 in 10, half, slow end (days)")
    for row in rows:
        print(f"{row.words:46}{row.days:7.1f}{row.rank:7.2f}{row.fast_d:10.1f}{row.typical_d:7.1f}{row.slow_d:7.1f}")
    for group in dict.fromkeys(row.group for row in rows):
        show(group, [row for row in rows if row.group == group])


def show(group: str, rows: list[Ranked]) -> None:
    ours, starts = of_ours(rows), by_start(rows)
    late = sum(row.days > row.slow_d + 1.0 for row in rows)
    longer = np.median([row.days / row.typical_d for row in rows])
    print(f"{group}: {len(rows)} boats, {len(starts)} years, {longer:.2f} of our typical time (median)")
    print(f"    mean rank of boats {_beside(_mean_rank(rows), ours.boats)}")
    print(f"    mean of the years' {_beside(_mean_of_years(rows), ours.years)}")
    more = 100.0 * float((ours.late >= late).mean())
    print(f"    {late} beyond our slow end by more than a day; as many or more in {more:.0f} of 100 groups of ours")
    for number, (start, fleet) in enumerate(starts.items()):
        kept = "kept" if number % 2 else ""
        print(f"    {start:24}{len(fleet):3} boats, mean rank {_mean_rank(fleet):.2f}  {kept}")
    halves = [list(starts)[begin::2] for begin in (0, 1)]
    told = [_mean_of_years([row for row in rows if row.start in half]) for half in halves if half]
    print("    mean of the years', those not kept and those kept: " + ", ".join(f"{mean:.2f}" for mean in told))


def _mean_rank(rows: list[Ranked]) -> float:
    return float(np.mean([row.rank for row in rows]))


def _mean_of_years(rows: list[Ranked]) -> float:
    return float(np.mean([_mean_rank(fleet) for fleet in by_start(rows).values()]))


def _beside(real: float, ours: Floats) -> str:
    low, high = np.quantile(ours, (0.025, 0.975))
    as_far = 100.0 * float((np.abs(ours - 0.5) >= abs(real - 0.5)).mean())
    return (
        f"{real:.2f} +- {ours.std():.2f}; 95 of 100 groups of ours have {low:.2f} to {high:.2f}, "
        f"{as_far:.0f} are as far from a half"
    )


if __name__ == "__main__":
    main(sys.argv[1:])
