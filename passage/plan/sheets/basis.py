"""What wind and water the crossings were sailed in, in words: climate alone or a forecast on top, and the current."""

from __future__ import annotations

from typing import TYPE_CHECKING

from passage.crossings.forecast import lead_weight, serves
from passage.inputs.climate import LIKE_OURS, beside_shipped
from passage.tell.figures import moment_words
from passage.units import written

if TYPE_CHECKING:
    from passage.crossings.ground import Ground
    from passage.inputs.folder import Facts
    from passage.inputs.forecast import TrackForecast
    from passage.road import Outcome

ISSUER = "The issuing service, its newest forecast and its warnings overrule this plan: fetch them before you sail."


def forecast_counts(outcome: Outcome) -> bool:
    """Whether a forecast is in the numbers."""
    forecast = outcome.ground.forecast
    return forecast is not None and serves(forecast, outcome.crossings.depart)


def forecast_words(outcome: Outcome) -> str:
    """Whether a forecast is aboard, how old it is at the departure, and whether it counts."""
    forecast, doubt = outcome.ground.forecast, climate_doubt(outcome.facts, outcome.ground)
    if forecast is None:
        return f"No forecast is aboard: these winds are made from monthly averages alone.{doubt and f' {doubt}'}"
    return f"{_aboard_words(forecast, outcome)}{doubt and f' {doubt}'}"


def _aboard_words(forecast: TrackForecast, outcome: Outcome) -> str:
    if not forecast_counts(outcome):
        return f"{_named(forecast)} {_does_not_serve(forecast, outcome)} {ISSUER}"
    age_h = forecast.age_h(outcome.crossings.depart)
    rules = forecast.half_weight_after_h, forecast.no_weight_after_h
    half, none = (written(hours, "duration") for hours in rules)
    return (
        f"{_named(forecast)} It is {age_h:.0f} hours old when she leaves and counts, on top of the monthly averages: "
        f"{100 * lead_weight(age_h, *rules):.0f} in 100 at departure, half {half} after its issue, none after {none}. "
        f"{ISSUER}"
    )


def _named(forecast: TrackForecast) -> str:
    runs = f", {forecast.members} runs of it" if forecast.members > 1 else ""
    return (
        f"A forecast is aboard: {forecast.file}, issued by {forecast.centre} "
        f"{moment_words(forecast.issued)}, to {moment_words(forecast.last)}{runs}."
    )


def _does_not_serve(forecast: TrackForecast, outcome: Outcome) -> str:
    depart = outcome.crossings.depart
    day = moment_words(depart)
    if depart < forecast.first:
        why = f"it begins on {moment_words(forecast.first)}"
    elif depart > forecast.last:
        why = "it has ended by then"
    else:
        why = f"it is {forecast.age_h(depart):.0f} hours old by then and has lost its weight"
    return f"It does NOT serve a departure on {day}, for {why}: it was left out, and only monthly averages count."


def current_words(outcome: Outcome) -> str:
    """Which current is in the numbers, and where the track has no figure of it."""
    current = outcome.ground.current
    if current is None:
        return "No current is in them: the voyage file wants none."
    if not current.is_shipped:
        return f"Current in them: {current.source}. No tidal stream is."
    return (
        f"Current in them: {current.source}, as a rule weaker than the real one, and eddies of each crossing's own. No "
        f"tidal stream is.{_unseen_words(outcome)}"
    )


def _unseen_words(outcome: Outcome) -> str:
    """Over how many miles the shipped averages are blind, and what runs there; empty where they are not."""
    current = outcome.ground.current
    if current is None or not current.blind.any():
        return ""
    miles = max(round(float(current.blind.sum()) * outcome.ground.track.spacing_nm), 1)
    found = f" On {miles} miles there is NO figure of it, and none is reckoned:"
    streams = [f"the {name}" for name in current.unseen_streams]
    if not streams:
        return f"{found} shelf or bank, where chart, pilot book and tide tables tell what runs."
    listed = " and ".join([", ".join(streams[:-1]), streams[-1]][-len(streams) :])
    return f"{found} real streams run there ({listed}), some by knots: chart and pilot book tell how."


def climate_doubt(facts: Facts, ground: Ground) -> str:
    """A sentence where the winds of a climate file of one's own are far from the shipped ones on the track, else ''."""
    file, track = facts.voyage.departure.climate, ground.track
    share = beside_shipped(ground.climate, track.lat_deg, track.lon_deg) if file else None
    if file is None or share is None or LIKE_OURS[0] <= share <= LIKE_OURS[1]:
        return ""
    return (
        f"Your {file.name} has {share:.1f} times the wind of the shipped averages on this track (under "
        f"{LIKE_OURS[0]:g} or over {LIKE_OURS[1]:g} is doubted, by common practice): are its units what it declares?"
    )
