"""How far the answers of the three demonstrations move when one effect is left out.

    python benchmarks/one_effect.py [--crossings N]

Typical passage, slow end (days) and water to load (litres), seed 1, as planned; then without standing off until
daylight, which moves landfalls by half a day and hides small effects; then so with one effect at a time left out too.
What a table of the crew's own does not reckon (``[at_sea]`` is off for it) is not in the list.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import passage
from passage.crossings.at_sea import EFFECTS, without
from passage.inputs.current import NO_CURRENT

if TYPE_CHECKING:
    from collections.abc import Iterator

    from passage.inputs.folder import Facts

ROUTES = Path(__file__).parent.parent / "routes"
DEMONSTRATIONS = ("cape-town-st-helena", "opua-tonga", "lagos-azores")


def left_out(facts: Facts) -> Iterator[tuple[str, Facts]]:
    """What is left out, in words or by its key, and the facts without it."""
    yield "nothing", facts
    yield "the current and its eddies", without_current(facts)
    yield "slower first days", helmed(facts, first_days_speed_share=1.0)
    yield "reefed nights", helmed(facts, night_speed_share=1.0)
    yield "performance under the table's", helmed(facts, performance_mean_share=1.0)
    yield "heaving to", helmed(facts, gust_limit_kn=80.0, gust_resume_kn=79.0)
    if facts.boat.reckons_sea:
        keys = [effect.key for effect in EFFECTS]
        yield "all that the sea takes", in_smooth_water(facts, *keys)
        for key in keys:
            yield key.removesuffix("_share"), in_smooth_water(facts, key)


def without_current(facts: Facts) -> Facts:
    departure = facts.voyage.departure.model_copy(update={"current": NO_CURRENT})
    return replace(facts, voyage=facts.voyage.model_copy(update={"departure": departure}))


def helmed(facts: Facts, **rules: float) -> Facts:
    helm = facts.boat.helm.model_copy(update=rules)
    return replace(facts, boat=facts.boat.model_copy(update={"helm": helm}))


def in_smooth_water(facts: Facts, *keys: str) -> Facts:
    """Without these effects of the sea."""
    effects = without(facts.boat.at_sea, *keys)
    return replace(facts, boat=facts.boat.model_copy(update={"at_sea": effects}))


def main(arguments: list[str]) -> None:
    crossings = int(arguments[arguments.index("--crossings") + 1]) if "--crossings" in arguments else 1000
    for name in DEMONSTRATIONS:
        facts = passage.read(ROUTES / name)
        print(f"\n{name}\n  left out{'':30} typical  slow end   water")
        show("as planned", facts, crossings)
        for words, changed in left_out(facts):
            show(words, helmed(changed, stand_off=False), crossings)


def show(words: str, facts: Facts, crossings: int) -> None:
    sailed = passage.sail(facts, crossings)
    typical, slow = (hours / 24.0 for hours in (sailed.times.typical_h, sailed.times.slow_end_h))
    print(f"  {words:38.38}{typical:8.2f}{slow:10.2f}{sailed.stores.water.answer.load_l:8.0f}", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
