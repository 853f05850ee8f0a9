"""The Dataset of a fleet as the records that people are told."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import product
from typing import TYPE_CHECKING, Any

import numpy as np

from passage.fleets.schema import REFUSED, SHARES
from passage.plan.sheets.fleet import ArrivalDay, BoatRow, FleetTold, Landfall, Unsailed
from passage.tell.figures import Side, rounded

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from passage.fleets.dataset import FleetDataset
    from passage.fleets.run import Lost

    Floats = NDArray[np.float64]

OFTEN = 0.95
TYPICAL = SHARES.index(0.5)
EPOCH = date(1970, 1, 1).toordinal()
NEVER = 10**9  # a day that does not come


def fleet_told(dataset: FleetDataset, store: str, lost: Sequence[Lost], written: tuple[str, ...] = ()) -> FleetTold:
    """store: where it stands; lost: cells that no worker could sail; written: other files."""
    sailed = np.isfinite(dataset["never"].values)
    sizes = [dataset.sizes[name] for name in ("boat", "track", "departure", "climate")]
    uncounted = ~np.isfinite(dataset["short_share"].values[sailed]).any(axis=0)
    return FleetTold(
        fleet=str(dataset.attrs["title"]).partition(": simulated crossings")[0],
        crossings=int(dataset.attrs["crossings"]),
        seed=int(dataset.attrs["seed"]),
        boats=sizes[0],
        tracks=sizes[1],
        departures=sizes[2],
        climates=sizes[3],
        sailed=int(sailed.sum()),
        landfalls=tuple(_landfall(dataset, *at) for at in product(*map(range, sizes[1:])) if sailed[:, *at].any()),
        by_boat=_boats(dataset, sailed),
        unsailed=_unsailed(dataset, lost),
        not_counted=tuple(np.array(dataset["store"].values)[uncounted].tolist()),
        store=store,
        written=written,
    )


# ---------------------------------------------------------------- who comes in when


def _landfall(dataset: FleetDataset, track: int, departure: int, climate: int) -> Landfall:
    arrival_h = dataset["arrival_h"].values[:, track, departure, climate]
    arrival_h = arrival_h[~np.isnan(arrival_h).all(axis=1)]  # (boats, members)
    depart = _moment(dataset["departure"].values[departure])
    leaves_h = depart.timestamp() / 3600.0
    coming = np.full(arrival_h.shape, NEVER)
    there = np.isfinite(arrival_h)
    coming[there] = ((leaves_h + arrival_h[there]) // 24.0).astype(int)
    days = np.arange(coming.min(), coming[there].max(initial=coming.min()) + 1)
    on, by = (coming[:, :, None] == days), (coming[:, :, None] <= days)  # (boats, members, days)
    most, out = _at_most(on), _at_most(~by)
    in_by = by.mean(axis=1).sum(axis=0)
    busiest = int(most.argmax())
    last = _first_day(days, out == 0)
    berths = _at_most(by)
    end = len(days) if last is None else int(np.flatnonzero(out == 0)[0]) + 1
    first = int(np.flatnonzero(berths > 0)[0]) if (berths > 0).any() else 0
    return Landfall(
        track=str(dataset["track"].values[track]),
        depart_utc=depart,
        climate=str(dataset["climate"].values[climate]),
        boats=len(coming),
        first_utc=_first_day(days, berths > 0),
        half_utc=_first_day(days, in_by >= 0.5 * len(coming)),
        nine_in_10_utc=_first_day(days, in_by >= 0.9 * len(coming)),
        last_utc=last,
        busiest_utc=_day(days[busiest]) if there.any() else None,
        most_boats=int(most[busiest]),
        days=tuple(
            ArrivalDay(
                _day(days[at]),
                float(on[:, :, at].mean(axis=1).sum()),
                int(most[at]),
                float(in_by[at]),
                int(berths[at]),
                int(out[at]),
            )
            for at in range(first, end)
            if there.any()
        ),
    )


def _at_most(hits: NDArray[np.bool_]) -> NDArray[np.int64]:
    """By day, the number of boats that 19 times in 20 is not exceeded: with the same luck for all boats and with each
    her own, whichever is more. hits: (boats, members, days).
    """
    alike = np.quantile(hits.sum(axis=0), OFTEN, axis=0, method="inverted_cdf")
    chance = np.zeros((hits.shape[2], hits.shape[0] + 1))
    chance[:, 0] = 1.0
    for each in hits.mean(axis=1):
        chance[:, 1:] = chance[:, 1:] * (1.0 - each)[:, None] + chance[:, :-1] * each[:, None]
        chance[:, 0] *= 1.0 - each
    apart = (np.cumsum(chance, axis=1) >= OFTEN - 1e-12).argmax(axis=1)
    return np.asarray(np.maximum(alike.astype(int), apart))


def _first_day(days: NDArray[np.int64], holds: NDArray[np.bool_]) -> date | None:
    return _day(days[int(holds.argmax())]) if holds.any() else None


def _day(since_1970: Any) -> date:
    return date.fromordinal(EPOCH + int(since_1970))


def _moment(stamp: Any) -> datetime:
    return datetime.fromtimestamp(int(stamp.astype("datetime64[s]").astype(int)), UTC)


# ---------------------------------------------------------------- who runs short


def _boats(dataset: FleetDataset, sailed: NDArray[np.bool_]) -> tuple[BoatRow, ...]:
    """Who runs short in most crossings first; then by battery, then by slow end."""
    rows = [_boat(dataset, boat, sailed[boat]) for boat in np.flatnonzero(sailed.any(axis=(1, 2, 3))).tolist()]
    return tuple(sorted(rows, key=lambda row: tuple(-_known(each) for each in _badness(row))))


def _badness(row: BoatRow) -> tuple[float, ...]:
    return row.short_in_100, row.battery_empty_in_100, row.battery_low_in_100, row.slow_end_days


def _known(figure: float) -> float:
    return float(figure) if figure == figure else -1.0


def _boat(dataset: FleetDataset, boat: int, sailed: NDArray[np.bool_]) -> BoatRow:
    def of(name: str) -> Floats:
        """Her cells, then what stands beside them."""
        return np.asarray(dataset[name].values[boat][sailed])

    short = np.nan_to_num(of("short_share"), nan=-1.0)
    cell, store = np.unravel_index(int(short.argmax()), short.shape)
    runs_out = bool(short[cell, store] > 0.0)
    slow_h, worry_h = of("slow_end_h"), of("worry_h")
    slowest = int(slow_h.argmax())
    lacking = float(of("lacking")[cell, store]) if runs_out else 0.0
    first = _moment(dataset["departure"].values[0])
    worry = float(worry_h[0])
    return BoatRow(
        boat=str(dataset["boat"].values[boat]),
        short_in_100=100.0 * max(float(short[cell, store]), 0.0),
        store=str(dataset["store"].values[store]) if runs_out else "",
        gone_day=float(of("ran_out_day")[cell, store]),
        lacking=f"{rounded(lacking, 0, Side.UP):,.0f} {_unit(dataset, store)}" if lacking > 0.0 else "",
        battery_low_in_100=100.0 * float(of("battery_low_share").max()),
        battery_empty_in_100=100.0 * float(of("battery_empty_share").max()),
        never_in_100=100.0 * float(of("never").max()) / int(dataset.attrs["crossings"]),
        motoring_h=float(of("motoring_h").max()),
        typical_days=float(of("arrival_quantile_h")[:, TYPICAL].max()) / 24.0,
        slow_end_days=float(slow_h[slowest]) / 24.0,
        worry_days=float(worry_h.max()) / 24.0,
        worry_utc=(first + timedelta(hours=worry)).date() if np.isfinite(worry) else None,
        worst_on=_where(dataset, np.argwhere(sailed)[slowest].tolist()),
    )


def _unit(dataset: FleetDataset, store: Any) -> str:
    units = dataset["lacking"].attrs["units_by_store"].split(", ")
    return str(units[int(store)].partition(": ")[2])


def _where(dataset: FleetDataset, at: list[int]) -> str:
    """A cell by what tells it from the others."""
    track, departure, climate = at
    parts = [str(dataset["track"].values[track])] if dataset.sizes["track"] > 1 else []
    if dataset.sizes["departure"] > 1:
        parts.append(f"{_moment(dataset['departure'].values[departure]):%Y-%m-%d}")
    return ", ".join([*parts, *([str(dataset["climate"].values[climate])] if dataset.sizes["climate"] > 1 else [])])


def _unsailed(dataset: FleetDataset, lost: Sequence[Lost]) -> tuple[Unsailed, ...]:
    """By boat, track and reason; what was lost on the way stands last, cell by cell."""
    counted: dict[tuple[str, str, str], int] = {}
    why = dataset[REFUSED].values
    for boat, track, *rest in np.argwhere(why != ""):
        key = str(dataset["boat"].values[boat]), str(dataset["track"].values[track]), str(why[boat, track, *rest])
        counted[key] = counted.get(key, 0) + 1
    rows = [Unsailed(boat, track, cells, said) for (boat, track, said), cells in counted.items()]
    tried = (f"{each.cell}: {each.why}; start the same again to try it once more" for each in lost)
    return (*rows, *(Unsailed(each.boat, each.track, 1, why) for each, why in zip(lost, tried, strict=True)))
