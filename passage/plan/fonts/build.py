"""Write ``advances.json``, how wide each letter of the shipped faces runs, with fontTools.

python passage/plan/fonts/build.py

Nobody who uses the tool needs to run it: only who changes a face.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

FONTS = Path(__file__).parent
NAMES = ("B612-Regular.otf", "B612-Bold.otf", "DejaVuSans.ttf", "DejaVuSans-Bold.ttf")


def advances(name: str) -> dict[int, float]:
    """Advance width (em) by code point."""
    from fontTools.ttLib import TTFont

    with TTFont(FONTS / name) as font:
        per_em, widths = font["head"].unitsPerEm, font["hmtx"]
        return {code: widths[glyph][0] / per_em for code, glyph in sorted(font.getBestCmap().items()) if code >= 32}


def runs(widths: dict[int, float]) -> Iterator[list[float]]:
    """First code point, how many follow one another, and the width of each: letters of one width are many."""
    run: list[float] = []
    for code, width in widths.items():
        if run and (code, width) == (run[0] + run[1], run[2]):
            run[1] += 1
        else:
            if run:
                yield run
            run = [code, 1, width]
    yield run


if __name__ == "__main__":
    table = {name: list(runs(advances(name))) for name in NAMES}
    (FONTS / "advances.json").write_text(json.dumps(table, separators=(",", ":")), encoding="utf-8")
