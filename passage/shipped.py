"""Where the data files that come with the tool are: beside a checkout, or inside an installed wheel."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).parent


def shipped(folder: str) -> Path:
    """Path of a data folder shipped with the tool, named from the root of a checkout: ``climatology_demo``, say."""
    places = (_PACKAGE / "_shipped" / folder, _PACKAGE.parent / folder)
    for place in places:
        if place.is_dir():
            return place
    looked = f"looked in {places[0]} and {places[1]}"
    raise FileNotFoundError(f"shipped folder '{folder}' is missing; {looked}; reinstall the tool")
