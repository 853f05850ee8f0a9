"""What a red lamp leaves of a printed page: every letter's height to the eye at 60 cm, and its ink against its ground.

The lamp has no blue and no green, so of a page only the red channel counts; it is the dimmest at which a chart is to be
read. Published, with standing:

- Letters of text to read are 16 minutes of arc high at the least, 20 to 22 better: U.S. NRC, NUREG-0700 Rev. 2, 1.3.1-4
  (S, read in extracts); the same figures in ISO 9241-3 for letters without accents in capitals (R2).
- Ground to ink 6:1 at the least, 10:1 better: NUREG-0700 Rev. 3, after MIL-STD-1472G (S, read in extracts).
- Reading a chart where eyes must stay used to the dark: 0.35 to 3.5 cd/m2 (MIL-STD-1472, M).
- Detail that the eye makes out by so much light and contrast: the curve for Landolt rings of Ikeda,
  Noda and Yamaguchi (R2, a page of reckonings by it); a letter's detail is a fifth of its height (Snellen, M).
  Reading at ease wants letters twice as large as those that can just be told (M).
- Paper throws back 0.80 of red light, black ink 0.05 (common figures, no source).
"""

from __future__ import annotations

import ctypes
import math
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
import pypdfium2
from pypdfium2 import raw

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

READ_FROM_MM = 600.0
DOTS_AN_INCH = 150
LEAST_ARCMIN, LEAST_CAPITAL_ARCMIN, LEAST_RATIO = 16.0, 20.0, 6.0
LAMP_CD_M2, PAPER, INK = 0.35, 0.80, 0.05
AT_EASE = 2.0
LOW = frozenset("acemnorsuvwxz")  # as high as an x


class Seen(NamedTuple):
    """A letter: its height to the eye, ground to ink, and where its foot is, points from that of the page."""

    letter: str
    high_arcmin: float
    ratio: float
    foot_pt: float

    @property
    def is_readable(self) -> bool:
        least = LEAST_ARCMIN if self.letter in LOW else LEAST_CAPITAL_ARCMIN
        return self.high_arcmin >= least and self.ratio >= LEAST_RATIO and ease(self.high_arcmin, self.ratio) >= AT_EASE


def lamp_luminance(red: Floats) -> Floats:
    """Of a page of paper in that lamp's light, cd/m2, white paper being as bright as the lamp makes it; red: 0 to 1,
    as sRGB (IEC 61966-2-1, M) writes it.
    """
    share = np.where(red <= 0.04045, red / 12.92, ((red + 0.055) / 1.055) ** 2.4)
    return np.asarray(LAMP_CD_M2 * (INK + (PAPER - INK) * share) / PAPER)


def arcmin(high_mm: float) -> float:
    return 60.0 * math.degrees(2.0 * math.atan(high_mm / (2.0 * READ_FROM_MM)))


def acuity(paper_cd_m2: float, contrast_in_100: float) -> float:
    """Of a good eye, one over the minutes of arc of the finest gap that it sees."""
    step = (0.8034 * contrast_in_100**-0.1876 + paper_cd_m2**0.25) ** 4
    return paper_cd_m2 / (1.6293 * contrast_in_100**-0.3234 * step)


def ease(high_arcmin: float, ratio: float) -> float:
    """How many times the letter is as high as one that can just be told by this lamp."""
    return acuity(LAMP_CD_M2, 100.0 * (1.0 - 1.0 / ratio)) * high_arcmin / 5.0


def by_red_light(page: Any) -> list[Seen]:
    """Every letter and figure of a page of pypdfium2's, in the order in which it is written; a blank for every gap."""
    scale = DOTS_AN_INCH / 72.0
    picture = page.render(scale=scale, rev_byteorder=True).to_numpy()
    lit = lamp_luminance(picture[..., 0] / 255.0)
    words = page.get_textpage()
    high_pt = page.get_height()
    found = [_seen(words, at, lit, high_pt, scale) for at in range(words.count_chars())]
    words.close()
    return found


def _seen(words: Any, at: int, lit: Floats, page_pt: float, scale: float) -> Seen:
    letter = chr(raw.FPDFText_GetUnicode(words, at))
    if not letter.isalnum():
        return Seen(" ", 0.0, 0.0, 0.0)
    left, right, foot, top = (ctypes.c_double() for _ in range(4))
    raw.FPDFText_GetCharBox(words, at, left, right, foot, top)
    rows = slice(int((page_pt - top.value) * scale), math.ceil((page_pt - foot.value) * scale) + 1)
    columns = slice(int(left.value * scale), math.ceil(right.value * scale) + 1)
    there = lit[rows, columns]
    ratio = float(np.quantile(there, 0.95) / there.min())
    return Seen(letter, arcmin((top.value - foot.value) * 25.4 / 72.0), ratio, foot.value)


def pages_by_red_light(pdf: bytes) -> list[list[Seen]]:
    with pypdfium2.PdfDocument(pdf) as document:
        return [by_red_light(page) for page in document]
