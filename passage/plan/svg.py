"""A sheet to draw on: SVG in points, black on white, y downwards; what the chart and the small figures share."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from html import escape
from typing import TYPE_CHECKING, Literal

from passage.plan.face import FAMILIES, drawable

if TYPE_CHECKING:
    from collections.abc import Iterable

    import numpy as np
    from numpy.typing import NDArray

Anchor = Literal["start", "middle", "end"]
Box = tuple[float, float, float, float]  # left, top, right, bottom
BLACK = "#000"
TINT = "#dcdcdc"  # for areas that an outline bounds as well
WHITE = "#fff"


@dataclass
class Canvas:
    """A drawing of width by height points. What is drawn later lies on top."""

    width: float
    height: float
    parts: list[str] = field(default_factory=list)

    def path(
        self,
        data: str,
        width: float = 0.8,
        fill: str = "none",
        dash: str = "",
        clip: str = "",
        ends: Literal["round", "butt"] = "round",
    ) -> None:
        """``data``: SVG path data. A width of 0 draws no outline; ``clip``: the name of a clipping frame."""
        stroke = f'stroke="{BLACK}" stroke-width="{width:g}" stroke-linecap="{ends}"' if width else 'stroke="none"'
        stroke += f' stroke-dasharray="{dash}"' if dash else ""
        stroke += f' clip-path="url(#{clip})"' if clip else ""
        self.parts.append(f'<path d="{data}" fill="{fill}" stroke-linejoin="round" {stroke}/>')

    def line(
        self, points: Iterable[tuple[float, float]] | NDArray[np.float64], width: float = 0.8, dash: str = ""
    ) -> None:
        self.path(open_path(points), width, dash=dash)

    def dot(self, x: float, y: float, radius: float, fill: str = BLACK, width: float = 0.8) -> None:
        outline = f'stroke="{BLACK}" stroke-width="{width:g}"'
        self.parts.append(f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{radius:g}" fill="{fill}" {outline}/>')

    def text(
        self, x: float, y: float, words: str, size: float = 8.0, bold: bool = False, anchor: Anchor = "start"
    ) -> None:
        """Words whose baseline starts, is centred or ends at (x, y)."""
        face = ", ".join(FAMILIES)
        weight = ' font-weight="bold"' if bold else ""
        place = f'x="{x:.2f}" y="{y:.2f}" font-size="{size:g}" text-anchor="{anchor}"'
        self.parts.append(f'<text {place} font-family="{face}"{weight}>{escape(drawable(words))}</text>')

    def paper(self, box: Box) -> None:
        """A blank under a label, so that no line runs through it."""
        left, top, right, bottom = box
        self.path(f"M{left:.2f} {top:.2f}H{right:.2f}V{bottom:.2f}H{left:.2f}Z", width=0, fill="#fff")

    def clip(self, name: str, x: float, y: float, width: float, height: float) -> None:
        self.parts.append(
            f'<clipPath id="{name}"><rect x="{x:g}" y="{y:g}" width="{width:g}" height="{height:g}"/></clipPath>'
        )

    def svg(self) -> str:
        head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {self.width:g} {self.height:g}"'
        return f'{head} width="{self.width:g}pt" height="{self.height:g}pt">' + "".join(self.parts) + "</svg>"


def open_path(points: Iterable[tuple[float, float]] | NDArray[np.float64]) -> str:
    return "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in points)


def closed_path(points: Iterable[tuple[float, float]] | NDArray[np.float64]) -> str:
    return open_path(points) + "Z"


def labelled(svg: str, words: str) -> str:
    """A drawing that says what it is, and keeps to the left of a place too wide for it. Its lines are given to a tenth
    of a point, which no screen shows, so that a coast of thousands of miles keeps the page small.
    """
    svg = re.sub(r'(?<= d=")[^"]*', lambda path: re.sub(r"\d+\.\d+", _tenths, path[0]), svg)
    return svg.replace("<svg ", f'<svg role="img" aria-label="{escape(words)}" preserveAspectRatio="xMinYMin" ', 1)


def _tenths(number: re.Match[str]) -> str:
    return f"{float(number[0]):.1f}".removesuffix(".0")
