"""A change to the boat or her stores as a person says it, ``panels 350 W for 400``, and the facts with it made.

    water +40 L            fuel 20 L more: ``fuel +20 L``       one of THINGS, all of it or more of it
    panels 350 W           bank +100 Ah
    performance_mean 85 %  any key of the boat's files, as those write it
    trysail 8 kg           a thing aboard that these crossings do not reckon with, with its weight
    ../other-boat          the folder of another boat, or of another voyage

Behind any of them may stand what it costs: ``for 400``, in whatever money.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from passage.errors import Fault, InputFaults
from passage.inputs.changes import changed, keys_of
from passage.inputs.electrics import Panel
from passage.inputs.folder import read_folder
from passage.inputs.home import VOYAGE_FILE
from passage.inputs.text import is_file
from passage.units import NUMBER, Misread, quantity, shown

if TYPE_CHECKING:
    from collections.abc import Callable

    from passage.inputs.boat import Boat
    from passage.inputs.electrics import Electrics
    from passage.inputs.folder import Facts

_SAID = re.compile(rf"\s*(.+?)(?:\s+for\s+({NUMBER.pattern}))?\s*")
_CHANGE = re.compile(r"([a-z_]+(?: [a-z_]+)*)\s+([+-]?)\s*([0-9.].*|true|false)")
MOST_WORDS = 200


@dataclass(frozen=True)
class Refit:
    """words: as said; price: 0 where none was given; mass_kg: what comes aboard, as far as it is known; reckoned: False
    where nothing in the crossings hangs on it.
    """

    words: str
    facts: Facts
    price: float = 0.0
    mass_kg: float = 0.0
    reckoned: bool = True


class _Thing(NamedTuple):
    """kind: of its quantity; now: how much of it there is; with_: the facts with so much of it; kg: of one unit."""

    kind: str
    now: Callable[[Facts], float]
    with_: Callable[[Facts, float], Facts]
    kg: float = 0.0


def refit(facts: Facts, text: str) -> Refit:
    """The facts with what ``text`` says made otherwise. Raises InputFaults for what is not understood."""
    said = _SAID.fullmatch(text)
    if said is None or len(text) > MOST_WORDS or not text.isprintable():
        raise _not_understood(text, facts)
    words, price = said[1], float(said[2] or 0.0)
    if _is_folder(Path(words)):
        return Refit(words, _from(facts, Path(words)), price)
    change = _CHANGE.fullmatch(words)
    if change is None:
        if _named_thing(words):
            return Refit(words, facts, price, reckoned=False)
        raise _not_understood(words, facts)
    try:
        made = _made(facts, *change.groups())
    except Misread as misread:
        raise InputFaults([Fault("--with", 0, words, misread.found, misread.wanted)]) from None
    return replace(made, words=words, price=price)


def _made(facts: Facts, name: str, sign: str, value: str) -> Refit:
    if thing := THINGS.get(name):
        amount, now = quantity(value, thing.kind), thing.now(facts)
        then = now + amount if sign == "+" else now - amount if sign == "-" else amount
        if then < 0.0:
            raise Misread(shown(f"{sign}{value}"), f"she has {now:g} in all")
        return Refit("", thing.with_(facts, then), mass_kg=(then - now) * thing.kg)
    if name.replace(" ", "_") in (keys := keys_of(facts)):
        field, kind = keys[name.replace(" ", "_")]
        return Refit("", changed(facts, **{field: _value(f"{sign}{value}", kind)}))
    if _is_mass(value) and _named_thing(name):
        return Refit("", facts, mass_kg=quantity(value, "mass"), reckoned=False)
    raise _not_understood(f"{name} {sign}{value}", facts)


def _value(text: str, kind: str) -> Any:
    if kind:
        return quantity(text, kind)
    plain: dict[str, Any] = {"true": True, "false": False}
    return plain.get(text, float(text) if NUMBER.fullmatch(text) else text)


def _is_mass(text: str) -> bool:
    try:
        quantity(text, "mass")
    except Misread:
        return False
    return True


def _named_thing(words: str) -> bool:
    """A thing with a name of its own, and no key or measure gone wrong."""
    known = (*THINGS, "water_l", "fuel_l")
    return bool(re.fullmatch(r"[^\W\d_][^\d_=]{1,39}", words)) and not get_close_matches(words, known, cutoff=0.75)


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except (OSError, ValueError):
        return False


def _from(facts: Facts, folder: Path) -> Facts:
    """Another voyage; or this one in another boat, with her crew, stores and electrics."""
    if is_file(folder / VOYAGE_FILE):
        return read_folder(folder, facts.today)
    return read_folder(facts.folder, facts.today, folder)


def _not_understood(text: str, facts: Facts) -> InputFaults:
    names = [*THINGS, *keys_of(facts)]
    near = get_close_matches(text.split()[0] if text.split() else "", names, n=1, cutoff=0.6)
    meant = f"did you mean '{near[0]}'? " if near else ""
    wanted = f"{meant}say '{', '.join(THINGS)}' with how much, a key of her files, a thing with its weight, or a folder"
    return InputFaults([Fault("--with", 0, "", shown(text), wanted)])


def _panels(facts: Facts, watts: float) -> Facts:
    """Shared out among the panels as now; one flat panel where there was none."""
    electrics = _electrics(facts)
    now = electrics.panels_w
    if now <= 0.0:
        panels: tuple[Panel, ...] = (Panel(name="panels", power_w=watts),) if watts else ()
    else:
        panels = tuple(panel.model_copy(update={"power_w": panel.power_w * watts / now}) for panel in electrics.panels)
    return replace(facts, electrics=electrics.model_copy(update={"panels": panels}))


def _bank(facts: Facts, charge_ah: float) -> Facts:
    electrics = _electrics(facts)
    battery = electrics.battery.model_copy(update={"capacity_ah": charge_ah})
    return replace(facts, electrics=electrics.model_copy(update={"battery": battery}))


def _electrics(facts: Facts) -> Electrics:
    if facts.electrics is None:
        raise Misread("no electrics file", "write down battery, panels and loads first")
    return facts.electrics


def _poured(key: str) -> Callable[[Facts, float], Facts]:
    return lambda facts, litres: changed(facts, **{key: litres})


THINGS = {
    "water": _Thing("volume", lambda facts: facts.boat.usable_water_l, _poured("water_l"), 1.0),
    "fuel": _Thing("volume", lambda facts: facts.boat.usable_fuel_l, _poured("fuel_l"), 0.84),
    "panels": _Thing("power", lambda facts: _electrics(facts).panels_w, _panels),
    "bank": _Thing("charge", lambda facts: _electrics(facts).battery.capacity_ah, _bank),
}


def same_boat(one: Boat, other: Boat) -> bool:
    """Whether she sails as the other does: all but what is in her tanks."""
    names = ("hull", "polar", "at_sea", "helm", "engine", "fuel", "fuel_tanks")
    return all(getattr(one, name) == getattr(other, name) for name in names)
