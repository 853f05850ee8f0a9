"""The changes that the desk knows, each made on a draft; what no file may say is refused in words, nothing changed."""

from __future__ import annotations

from itertools import count
from typing import TYPE_CHECKING, Any

from passage.desk.draft import contained
from passage.desk.forms import key_at, new_entry
from passage.inputs.keys import Shape, Table, as_typed, tables_of
from passage.inputs.schemas import MODELS
from passage.positions import Position, format_position

if TYPE_CHECKING:
    from pathlib import Path

    from passage.desk.draft import Draft
    from passage.desk.side import Track
    from passage.inputs.folder import Facts
    from passage.inputs.toml import KeyPath

VOYAGE, BOAT = "voyage.toml", "boat.toml"
NOT_MEASURED = ("boat", "not_measured")
OUTSIDE = "name a file within the voyage's folder or the boat's"


class Refused(Exception):
    """What was asked for is no change of any file."""


def changed(draft: Draft, root: Path, file: str, path: KeyPath, text: str) -> bool:
    """Set a key as typed; empty takes it away. Raises KeyError for a key that no file has, ValueError in words."""
    key = key_at(file, path)
    value = as_typed(key, text)
    if isinstance(value, str) and not value.isprintable():
        raise ValueError("write plain text on one line")
    if key.shape is Shape.FILE and isinstance(value, str) and value not in key.choices:
        _refuse_outside(draft, root, value, is_boat=path == ("voyage", "boat"))
    did = draft.set(file, path, value)
    guessed = draft.document(file).values.get("boat", {}).get("not_measured", []) if file == BOAT else []
    if did and value is not None and path[0] == "boat" and path[-1] in guessed:
        measured = [each for each in guessed if each != path[-1]]
        draft.set(file, NOT_MEASURED, measured, draft.changes[-1].together)  # undone with it
    return did


def _refuse_outside(draft: Draft, root: Path, name: str, *, is_boat: bool) -> None:
    """Raises ValueError for a path that leads out of where the desk may read. A boat's folder may lie beside."""
    home = draft.home
    folders = [root, home.folder, *([home.boat] if home.boat else [])]
    if is_boat:
        folders += [home.folder.resolve().parent, *([home.boat.resolve().parent] if home.boat else [])]
    places = [home.folder / name, *([home.boat / name] if home.boat and not is_boat else [])]
    if not any(contained(folder, place) for folder in folders for place in places):
        raise ValueError(OUTSIDE)


def _table(file: str, name: str) -> Table:
    found = [table for table in tables_of(file) if table.name == name and table.many] if file in MODELS else []
    if not found:
        raise Refused
    return found[0]


def entry_added(draft: Draft, file: str, name: str) -> bool:
    table = _table(file, name)
    rows = draft.document(file).values.get(name, [])
    return draft.add(file, (name, len(rows) if isinstance(rows, list) else 0), new_entry(table, draft))


def entry_removed(draft: Draft, file: str, name: str, at: int) -> bool:
    _table(file, name)
    rows = draft.document(file).values.get(name, [])
    if not isinstance(rows, list) or not 0 <= at < len(rows):
        raise ValueError("it is not there any more")
    return draft.remove(file, (name, at))


# ---------------------------------------------------------------- the track


def _waypoints(draft: Draft) -> list[dict[str, Any]]:
    values = draft.document(VOYAGE).values
    rows = values.get("waypoint", [])
    if "route" in values or not isinstance(rows, list):
        raise ValueError("the waypoints come from the route's file; change them there")
    return rows


def _words(place: Position | str | None) -> str:
    if place is None:
        raise ValueError("give a position")
    return place if isinstance(place, str) else format_position(*place)


def waypoint_moved(draft: Draft, at: int, place: Position | str | None) -> bool:
    if not 0 <= at < len(_waypoints(draft)):
        raise ValueError("that waypoint is not there any more")
    return draft.set(VOYAGE, ("waypoint", at, "position"), _words(place))


def waypoint_named(draft: Draft, at: int, name: str) -> bool:
    if not 0 <= at < len(_waypoints(draft)) or not name.strip() or not name.isprintable():
        raise ValueError("give a name of one line")
    return draft.set(VOYAGE, ("waypoint", at, "name"), name.strip())


def waypoint_removed(draft: Draft, at: int) -> bool:
    rows = _waypoints(draft)
    if not 0 <= at < len(rows) or len(rows) <= 2:
        raise ValueError("a track needs two waypoints at least")
    if at:
        return draft.remove(VOYAGE, ("waypoint", at))
    together = draft.changes[-1].together + 1 if draft.changes else 1
    for key in ("sailing", "limit", "set", "drift"):  # nobody sails to the first
        draft.set(VOYAGE, ("waypoint", 1, key), None, together)
    return draft.remove(VOYAGE, ("waypoint", 0), together)


def waypoint_added(draft: Draft, facts: Facts | None, at: int, place: Position | str | None) -> bool:
    """One more after number ``at``: where it is said, or halfway to the next."""
    rows = _waypoints(draft)
    if not 0 <= at < len(rows) - 1:
        raise ValueError("choose a waypoint that another follows")
    where = _words(place if place is not None else _halfway(facts, at))
    taken = {str(row.get("name")) for row in rows if isinstance(row, dict)}
    name = next(f"waypoint {number}" for number in count(at + 2) if f"waypoint {number}" not in taken)
    how = rows[at + 1].get("sailing")
    more = {"sailing": how} if how in ("rhumb line", "great circle") else {}
    return draft.add(VOYAGE, ("waypoint", at + 1), {"name": name, "position": where, **more})


def _halfway(facts: Facts | None, at: int) -> Position | None:
    from passage.ground import legs_of
    from passage.sailings.track import lay_track

    if facts is None:
        return None
    track = lay_track(legs_of(facts.voyage)[at : at + 1])
    middle = len(track.lat_deg) // 2
    return Position(float(track.lat_deg[middle]), float(track.lon_deg[middle]))


def track_taken(draft: Draft, track: Track) -> bool:
    """The waypoints give way to those of a track that was found; undone as one."""
    rows = _waypoints(draft)
    together = draft.changes[-1].together + 1 if draft.changes else 1
    for at in range(len(rows) - 1, 0, -1):
        draft.remove(VOYAGE, ("waypoint", at), together)
    for number, (name, position, sailing) in enumerate(track.waypoints):
        if number == 0:
            draft.set(VOYAGE, ("waypoint", 0, "name"), name, together)
            draft.set(VOYAGE, ("waypoint", 0, "position"), position, together)
        else:
            values = {"name": name, "position": position, "sailing": sailing}
            draft.add(VOYAGE, ("waypoint", number), values, together)
    return True
