"""How far the answers of the three demonstrations move when one effect is left out.

    python benchmarks/one_effect.py [--crossings N]

Typical passage, slow end (days) and water to load (litres), seed 1; then the same with one effect at a time left out.
What a table of the crew's own does not reckon (``[at_sea]`` is off for it) is left out of the list.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

import passage
from passage.crossings.at_sea import EFFECTS, without
from passage.inputs.folder import Facts

ROUTES = Path(__file__).parent.parent / "routes"
DEMONSTRATIONS = ("cape-town-st-helena", "opua-tonga", "lagos-azores")
Change = Callable[[Facts], Facts]


def changes(facts: Facts) -> Iterator[tuple[str, Change]]:
    """What is left out, in words, and the change that does it."""
    yield "nothing", lambda facts: facts
    yield (
        "the current and its eddies",
        lambda facts: replace(facts, voyage=facts.voyage.model_copy(update={"current": "none"})),
    )
    yield "slower first days", lambda facts: helmed(facts, first_days_speed_share=1.0)
    yield "reefed nights", lambda facts: helmed(facts, night_speed_share=1.0)
    yield "performance under the table's", lambda facts: helmed(facts, performance_mean_share=1.0)
    yield "heaving to", lambda facts: helmed(facts, gust_limit_kn=80.0, gust_resume_kn=79.0)
    if facts.boat.reckons_sea:
        yield "all that the sea takes", lambda facts: at_sea(facts, *(effect.key for effect in EFFECTS))
        for effect in EFFECTS:
            yield effect.words, lambda facts, key=effect.key: at_sea(facts, key)  # type: ignore[misc]


def helmed(facts: Facts, **rules: float) -> Facts:
    helm = facts.boat.helm.model_copy(update=rules)
    return replace(facts, boat=facts.boat.model_copy(update={"helm": helm}))


def at_sea(facts: Facts, *keys: str) -> Facts:
    effects = without(facts.boat.at_sea, *keys)
    return replace(facts, boat=facts.boat.model_copy(update={"at_sea": effects}))


def main(arguments: list[str]) -> None:
    crossings = int(arguments[arguments.index("--crossings") + 1]) if "--crossings" in arguments else 1000
    for name in DEMONSTRATIONS:
        facts = passage.read(ROUTES / name)
        print(f"\n{name}\n  left out{'':62} typical  slow end   water")
        for words, change in changes(facts):
            sailed = passage.sail(change(facts), crossings)
            water = sailed.stores.water.answer.load_l
            times = sailed.times
            print(f"  {words:70.70}{times.typical_h / 24.0:8.1f}{times.slow_end_h / 24.0:10.1f}{water:8.0f}")


if __name__ == "__main__":
    main(sys.argv[1:])
