"""Every figure that the plan stands on, whose it is and where it comes from: the last pages, and a reviewer's first."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

from passage.consequences.readiness.seacocks import DISCHARGE
from passage.consequences.stores.water import warmer_words
from passage.crossings.bracket import DRIFT_KN, OFF_SHARE, STRONGER
from passage.crossings.wind import (
    FAST_EFOLDING_H,
    HARD_ON_THE_WIND_DEG,
    SLOW_EFOLDING_H,
    slow_share,
)
from passage.departures import AS_GOOD_SHARE
from passage.inputs.climate import rests_on_few_reports
from passage.inputs.reports import DIRECTION_ERROR_DEG, SPEED_ERROR_KN
from passage.inputs.storms import storm_record
from passage.inputs.told import plainly
from passage.inputs.troubles import ELECTRIC_SHARE
from passage.plan.sheet import Sheet
from passage.plan.sheets.basis import forecast_counts
from passage.plan.sheets.sourced import DEFAULT, YOURS, Row, figure, whose
from passage.plan.sheets.sources_aboard import anchored, powered, watched, worn
from passage.tell.blocks import Blocks, Head, Newspaper, Points, Say, Title, strong
from passage.tell.customary import unit_words
from passage.tell.figures import amount
from passage.tell.records import Record, told
from passage.troubles.changes import hove_to_h
from passage.units import written

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from passage.inputs.current import TrackCurrent
    from passage.road import Outcome

UNTRIED = "default: common practice, no source"
GALVANI = "Galvani and others (2015), crews of two"

HELM_WORDS = {
    "gust_factor": "Gusts, as a multiple of the hourly mean wind",
    "gust_limit_kn": "Heave to or run off when gusts pass",
    "gust_resume_kn": "Sail on when gusts fall below",
    "hove_to_drift_kn": "Drift to leeward, hove to",
    "running_off_speed_kn": "Speed running off",
    "night_speed_share": "Speed on reefed nights, against the day",
    "first_days_h": "A crew settles in for the first",
    "first_days_speed_share": "Speed until then, against afterwards",
    "performance_mean_share": "Mean speed of all crossings, against the table of speeds",
    "performance_sd_share": "Spread of that from crossing to crossing (standard deviation)",
    "motoring": "Motors in calms",
    "engine_below_kn": "Engine on when she sails slower than",
    "engine_after_h": "and has done so for",
    "stand_off": "Stands off until daylight",
}
WATER_WORDS = {
    "drink_and_cook_l_per_day": "Each person drinks and cooks with",
    "survival_l_per_day": "Survival ration of each person",
    "deck_hours_h": "Hours a day each is on deck by day",
    "sun_share": "of which in full sun",
    "awning": "or all under an awning",
    "heat": "Counts the heat",
}
MEASURED = "default: set about the figure of a mixed day"
# Section of the stores file, key, words, and where the default is from.
STORES_WORDS = (
    ("activity", "self_steered", "Activity on a self-steered day", MEASURED),
    ("activity", "mixed", "Activity on a mixed day", f"default: {GALVANI}"),
    ("activity", "heavy", "Activity in heavy weather", MEASURED),
    ("activity", "survival", "Activity, survival", "default: FAO/WHO/UNU (1985), from memory"),
    ("activity", "mixed_wind_kn", "A day is mixed from a wind of"),
    ("activity", "heavy_wind_kn", "and heavy from"),
    ("diet", "protein_per_kg_kg", "Protein for each kg of body and day", "default: WHO/FAO/UNU (2007), from memory"),
    ("diet", "no_cook_reserve_share", "Days of no-cook food in reserve, of those to the slow end"),
    ("diet", "most_of_one_share", "The most of the energy that one food gives"),
    ("diet", "staples_share", "The least that staples and pulses give"),
    ("diet", "fats_share", "The most that fats give"),
    ("diet", "snacks_share", "The most that snacks and sweets give"),
    ("diet", "produce_kg", "The least fruit and vegetables, each person and day"),
    ("gas", "per_person_day_kg", "Cooking gas, each person and day"),
    ("gas", "baking", "Bakes regularly, half as much gas again"),
    ("motor", "specific_consumption_g_kwh", "Specific consumption of the engine"),
    ("motor", "charging_l_h", "Fuel while charging"),
    ("motor", "sea_factor", "Power in a head sea, against smooth water"),
    ("rain", "claimed_l_per_day", "Rain claimed"),
    ("remedy", "target_share", "A remedy brings shortages down to"),
    ("stowage", "waterplane_coefficient", "Waterplane, of waterline length times beam"),
)
# Section of the troubles file, key, words.
TROUBLES_WORDS = (
    ("rudder_lost", "speed_share", "Rudder lost: of the speed in her table is left"),
    ("rudder_lost", "closest_deg", "Rudder lost: no closer to the true wind than"),
    ("headsail_jammed", "speed_share", "Headsail jammed: of that speed is left"),
    ("headsail_jammed", "closest_deg", "Headsail jammed: no closer than"),
    ("jury_rig", "speed_share", "Jury rig: of that speed is left"),
    ("jury_rig", "closest_deg", "Jury rig: no closer than"),
    ("jury_rig", "rigging_h", "Jury rig: to clear the wreck and set it"),
    ("one_unfit", "speed_share", "One unfit: of that speed, handled by the others"),
    ("becalmed", "days", "Becalmed for, in days"),
    ("electrics_lost", "engine_starts", "Engine starts without a battery"),
    ("leak", "rate_l_h", "A leak of"),
    ("leak", "depth_m", "A fitting that fails lies below the waterline"),
    ("pumps", "electric_l_h", "Electric pump, by its maker"),
    ("pumps", "electric_power_w", "It draws"),
    ("pumps", "by_hand_l_h", "One person pumps by hand"),
    ("pumps", "by_hand_hours_h", "and keeps it up in 24 hours for"),
)
FORECAST_WORDS = {
    "half_weight_after_h": "A forecast counts half after",
    "no_weight_after_h": "and no more after",
}
TRUST = "default: common practice, counted from its issue"
RULE_WORDS = {
    "first_h": "Departure rule: the first",
    "wind_under_kn": "with wind under",
    "not_ahead": "and not ahead",
    "wait_at_most_h": "looked for every day, at most",
}
SMALL_PT = 7.0  # looked up at a desk
BREAKING = (
    "Torn sails and chafed lines, gear that wears out sooner in one boat than in another, what one breakage does to "
    "the next, turning back, being towed or taken off, and bad luck of every other kind."
)
MOSTLY = 0.5  # of a leg's length
HEAT_SOURCE = "more in the heat by US Army TB MED 507, smoothed, second-hand copies of the table"
HUMIDITY_SOURCE = "wet bulb after Stull (2011), sun after the Australian Bureau of Meteorology, both from memory"


class Group(Record):
    """The figures of one subject."""

    title: str = told("subject")
    rows: tuple[Row, ...] = told("its figures")


class Sources(Record):
    """Every figure that the plan stands on."""

    groups: tuple[Group, ...] = told("figures by subject")
    left_out: tuple[str, ...] = told("what is left out on purpose")


def table(outcome: Outcome) -> Sources:
    facts = outcome.facts
    groups = (
        Group("Wind, and how the crossings are sailed", tuple(_wind(outcome))),
        Group("Slow end, sea, forecast and departures", tuple(_hangs_on(outcome))),
        Group("Water", tuple(_water(outcome))),
        Group("The boat and how she is handled", tuple(_boat(outcome))),
        Group("Battery and sun", tuple(powered(facts))),
        Group("Food, fuel and gas", tuple(_stores(outcome))),
        Group("At anchor", tuple(anchored(facts))),
        Group("Watches and look-out", tuple(watched(facts))),
        Group("When something breaks", tuple(_troubles(outcome))),
        Group("How often, in 20 days at sea", tuple(worn(facts))),
        Group("Chart, compass and sky", tuple(_charts(outcome))),
    )
    return Sources(
        tuple(group for group in groups if group.rows),
        (
            BREAKING if facts.troubles.reliability.count else "Breakages, illness and bad luck of every other kind.",
            "Cyclones, squalls, lightning, and gales in any number to trust. The wind's spread is the same in every "
            "direction in these numbers, which can cost a few per cent of the slow end.",
            f"{_left_out_of_the_water(outcome.ground.current)}, waves as such, fog, ice, traffic, reefs "
            "awash and everything else that only the chart and the pilot book know.",
            "The odds of squalls and of lightning: monthly averages hold neither, and a number would be believed.",
            "Who will be seasick, and how much: it differs more between people than any reckoning; the first days are "
            "sailed more slowly instead, by the figures of the helm.",
            "Islands, headlands and the lee behind them, sea breezes, gusts beyond the factor above, and the swell "
            "beside the wind sea: the winds are means over two degrees.",
            "Medical advice: the medical call is for that. Fish caught: a bonus, never counted as food. Morale: nobody "
            "can give it a number; sleep and rest are reckoned, which carry it.",
        ),
    )


def sources_card(sources: Sources) -> Blocks:
    return (
        Title("Sources and assumptions"),
        Say(
            "Every figure this plan stands on. Change yours in the voyage's files; the plan is worth what they are. "
            '"Common practice": in use at sea, with no published source.'
        ),
        Newspaper(
            (
                *(block for group in sources.groups for block in _group(group)),
                Head("Left out on purpose"),
                Points(sources.left_out),
            ),
            size=SMALL_PT,
        ),
    )


def _group(group: Group) -> Blocks:
    return (Head(group.title), *(Say(f"{row.what}: {strong(row.value)}; {row.source}.") for row in group.rows))


def _wind(outcome: Outcome) -> list[Row]:
    climate, track = outcome.facts.voyage.departure.climate, outcome.ground.track
    share = slow_share(track.lat_deg, track.lon_deg)
    shipped = "COADS 1946–1989 ship reports (Woodruff and others 1987), as climatology_demo/SOURCES.md tells"
    return [
        Row("Crossings sailed", f"{outcome.crossings.members:,}, seed {outcome.crossings.seed}", "asked for"),
        Row(
            "Monthly winds and temperatures",
            f"{climate.name}{_lent(outcome.ground.climate.lent)}" if climate else "shipped grids",
            YOURS if climate else shipped,
        ),
        Row("Few ship reports", _few_reports(outcome), "the same grids; winds there are mended from around"),
        Row(
            "Spread of the wind",
            "from each month's mean vector and mean speed",
            "bivariate normal, equal in all directions, so that speeds follow Rice's distribution",
        ),
        Row(
            "How long a wind lasts",
            f"{FAST_EFOLDING_H:.0f} hours; for a share of {_from_to(share)} on this track, "
            f"{SLOW_EFOLDING_H / 24:.0f} days",
            "buoys and published values of 1 to 3 days; the share from 132 real monthly means, as the guide tells",
        ),
        Row(
            "Error of the ships' reports",
            f"{SPEED_ERROR_KN:.1f} kn of speed, {DIRECTION_ERROR_DEG:.1f}° of direction, taken out of the spread",
            "Kent, Challenor and Taylor (1999), abstract; the direction derived from rounding to points",
        )
        if climate is None
        else Row("Error of the reports", "as your file has it", YOURS),
        Row(
            "Height of the winds",
            _height(10.0, "above the sea"),
            "by convention, for the table of speeds too",
        ),
        Row(
            "Slow end", _slow_end(outcome), "quantile of the ensemble; a crossing that never arrives counts as endless"
        ),
    ]


def _from_to(share: NDArray[np.float64]) -> str:
    least, most = f"{100.0 * share.min():.0f}", f"{100.0 * share.max():.0f}"
    return f"{least} %" if least == most else f"{least} to {most} %"


def _lent(lent: tuple[str, ...]) -> str:
    return f"; {' and '.join(lent)}, which it does not know all along the track, from the shipped grids" if lent else ""


def _slow_end(outcome: Outcome) -> str:
    return f"1 crossing in {1.0 / outcome.facts.voyage.reserve.slow_end_share:.0f} takes longer"


def _few_reports(outcome: Outcome) -> str:
    """Which legs rest on few reports in any of the months between departure and slow end."""
    depart, hours = outcome.crossings.depart, min(outcome.times.slow_end_h, outcome.crossings.hours)
    last = depart + timedelta(hours=hours)
    months = [month % 12 for month in range(depart.month - 1, last.month + 12 * (last.year - depart.year))]
    few, leg = rests_on_few_reports(outcome.ground.climate, months), outcome.ground.track.leg
    if not few.any():
        return "no leg rests on few ship reports"
    thin = [number + 1 for number in sorted(set(leg.tolist())) if few[leg == number].mean() >= MOSTLY]
    share = f"{max(round(100.0 * few.mean()), 1)} in 100 of the track"
    if not thin:
        return f"{share}, but no leg for the most part"
    legs = f"legs {', '.join(map(str, thin[:-1]))} and {thin[-1]} rest" if len(thin) > 1 else f"leg {thin[0]} rests"
    return f"{legs} on few ship reports; {share} in all"


def _left_out_of_the_water(current: TrackCurrent | None) -> str:
    if current is None:
        return "Currents and tides"
    return "Tides, streams narrower than the current's averages see" if current.is_shipped else "Tides"


def _current_from(current: TrackCurrent | None) -> str:
    if current is None:
        return f"{YOURS}; {DRIFT_KN:g} kn tried"
    if not current.is_shipped:
        return YOURS
    return (
        "Levitus 1982 by TEOS-10 and COADS winds, after Lagerloef and others 1999; eddies by Richardson 1983 and "
        f"others; none and {STRONGER:g} times as much tried"
    )


def _hangs_on(outcome: Outcome) -> list[Row]:
    """The figures behind the bracket, the sea, the current, the forecast and the departures beside one another."""
    voyage, current = outcome.facts.voyage, outcome.ground.current
    rule, ruled = voyage.departure_rule, voyage.departure_rule.given
    return [
        Row("Persistence and spread of performance", "halved and doubled", "our choice; neither is known better"),
        Row("Mean speed and mean wind", f"{OFF_SHARE:.0%} less and more", "our choice; neither is known better"),
        Row("Current", current.source if current else "none wanted", _current_from(current)),
        Row(
            "Height of the wind sea",
            "significant height, fully grown",
            "Pierson and Moskowitz (1964), in Stewart, Introduction to Physical Oceanography; a ceiling; no swell",
        ),
        Row(
            "States of the sea",
            f"slight to {_height(1.25)}, rough from {_height(2.5)}",
            "WMO code 3700",
        ),
        Row("Calm, strong wind, force 8", "under 4 kn, from 28 kn, from 34 kn", "Beaufort's scale; force 7 and 8"),
        Row(
            "Gales",
            "in words only",
            "against moored buoys this wind makes four to six times too many hours, against pilot charts too few",
        ),
        Row("Hard on the wind", f"within {HARD_ON_THE_WIND_DEG:.0f}° of the true wind", DEFAULT),
        Row("Forecast", _forecast(outcome), "yours; its issuing service overrules"),
        *[figure(voyage.forecast, name, words, TRUST) for name, words in FORECAST_WORDS.items()],
        *([figure(rule, name, words) for name, words in RULE_WORDS.items() if getattr(rule, name)] if ruled else []),
        Row("Departures beside one another", "the same luck for each", "so that they differ by season, not by luck"),
        Row("As good as the shortest", f"slow ends within {100 * AS_GOOD_SHARE:.0f} in 100", "our choice"),
    ]


def _forecast(outcome: Outcome) -> str:
    if outcome.ground.forecast is None:
        return "none aboard"
    return f"{outcome.ground.forecast.file}, {'counts' if forecast_counts(outcome) else 'does not serve: left out'}"


def _boat(outcome: Outcome) -> list[Row]:
    boat = outcome.facts.boat
    if boat.polar.file is None:
        fitted = "fitted to published predictions of 63 hulls; sail her and measure"
        speeds = Row("Boat speeds", "ESTIMATED from hull and sail area", fitted)
    else:
        speeds = Row("Boat speeds", boat.polar.file.name, YOURS)
    at_sea = "waves, crew, fouling, leeway taken off" if boat.reckons_sea else "nothing taken off"
    rows = [
        speeds,
        Row("Boat speeds at sea", at_sea, whose(boat.at_sea, "reckoned")),
        figure(boat.polar, "tacking_loss_share", "Lost by tacking and gybing"),
    ]
    rows += [figure(boat.helm, name, words) for name, words in HELM_WORDS.items()]
    rows.append(
        Row("Fuel for calms", plainly(boat.fuel.calms_allowance_l, "volume"), whose(boat.fuel, "calms_allowance_l"))
    )
    return rows


def _water(outcome: Outcome) -> list[Row]:
    use, reserve = outcome.facts.crew.water, outcome.facts.voyage.reserve
    rows = [figure(use, name, words) for name, words in WATER_WORDS.items()]
    rows[-1] = replace(rows[-1], source=f"{rows[-1].source}; {HEAT_SOURCE}")
    factor = f"{reserve.typical_factor:g} times the typical passage"
    whose_factor = whose(reserve, "typical_factor", "default: common practice of the trade")
    return [
        *rows,
        Row("Ordinary ration, printed beside it", "the base alone, in whatever heat", "common practice, no source"),
        Row("Air warmer and cooler, tried", f"by {warmer_words()}", "our choice"),
        Row("Humidity and sun", "as wet-bulb globe temperature", HUMIDITY_SOURCE),
        Row("Old rule for breakages", factor, whose_factor),
        Row("Emergency water", "never counted", "kept sealed, apart"),
    ]


def _stores(outcome: Outcome) -> list[Row]:
    told = outcome.facts.provisions
    sections = {
        "activity": told.activity,
        "diet": told.diet,
        "gas": told.gas,
        "motor": told.motor,
        "rain": told.rain,
        "remedy": told.remedy,
        "stowage": told.stowage,
    }
    rows = [figure(sections[part], name, *words) for part, name, *words in STORES_WORDS]
    own = sum(food.own for food in outcome.facts.pantry.foods)
    others = len(outcome.facts.pantry.foods) - own
    return [
        Row("Energy at rest", "by sex, age and mass", "Schofield (1985) in FAO/WHO/UNU (2004), second-hand copy"),
        *rows,
        Row("Foods of your own", f"{own}", f"{YOURS}, pantry.csv"),
        Row(
            "Foods of the starter list", f"{others}", "general knowledge of food composition, rounded; labels are right"
        ),
        Row(
            "How long fresh food keeps",
            "by the warmth of the track",
            "rate rule of USDA Handbook 66; else common practice",
        ),
        Row(
            "Power under engine",
            "use at cruising speed from the boat file",
            "other speeds: Gerr, Propeller Handbook, second-hand; diesel of density 0.84",
        ),
        Row("Choice of packs", "whole packs, least mass or cost", "linear programme, solved by HiGHS"),
    ]


def _troubles(outcome: Outcome) -> list[Row]:
    told = outcome.facts.troubles
    hand = told.hand_steering
    rest = written(hove_to_h(outcome.facts), "duration")
    return [
        Row("Steered by hand, she lies to in 24 hours for", rest, whose(hand, "hove_to_h", UNTRIED)),
        *(figure(getattr(told, part), name, words, UNTRIED) for part, name, words in TROUBLES_WORDS),
        Row("Counted of the electric pump's figure", f"{100 * ELECTRIC_SHARE:.0f} %", UNTRIED),
        Row("Half the battery lost", "half of its capacity", "our choice"),
        Row("Water through a hole", f"{DISCHARGE:g} of the area times the speed", "Torricelli; any text on hydraulics"),
    ]


def _charts(outcome: Outcome) -> list[Row]:
    record = storm_record().years
    return [
        *(Row("Waypoints", note.removeprefix("Waypoints: "), YOURS) for note in outcome.facts.voyage_file.notes),
        Row("Distances and courses", "WGS 84 ellipsoid", "geodesics and rhumb lines after Karney (2013, 2024)"),
        Row("Magnetic variation", "WMM2025", "NOAA and British Geological Survey, valid 2025 to 2029; no deviation"),
        Row("Sun and moon", "DE421", "Jet Propulsion Laboratory; eye at sea level, standard refraction"),
        Row("Coast", "GSHHG 2.3.6", "Wessel and Smith 1996; islands may stand a mile out, reefs awash are missing"),
        Row("Cyclone seasons", "official season of each basin", "no promise of safety outside it"),
        Row(
            "Storms",
            f"North Atlantic's of {record[0]} to {record[1]}; elsewhere a season's usual number, from memory",
            "US National Hurricane Center's best tracks, as climatology_demo/SOURCES.md tells; a sixth missing",
        ),
        Row(
            "Distress and raft cards",
            "as printed",
            "ITU and IMO procedure and handbook practice, from memory or second hand",
        ),
    ]


SHEET = Sheet("sources", table, record=Sources, cards={"sources": sources_card})


def _height(height_m: float, where: str = "") -> str:
    told = f"{height_m:g} m" if unit_words("m") == "m" else f"{amount(height_m, 'm'):u}"
    return f"{told} {where}".rstrip()
