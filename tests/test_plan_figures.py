"""The small drawings, read back from their SVG."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import numpy as np
import pytest

from passage.plan import figures
from passage.plan.figures import Mark

SVG = "{http://www.w3.org/2000/svg}"


def texts(svg: str) -> list[str]:
    return [text.text or "" for text in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def paths(svg: str) -> list[ElementTree.Element]:
    return list(ElementTree.fromstring(svg).iter(f"{SVG}path"))


def test_bars_are_as_tall_as_the_crossings_that_arrive_that_day() -> None:
    arrival = np.array([10.5] * 60 + [11.2] * 30 + [np.inf] * 10)
    bars = [
        path.get("d") or ""
        for path in paths(figures.passage_times(arrival, [], 400.0, 200.0))
        if "H" in (path.get("d") or "")
    ]
    heights = []
    for bar in bars:
        foot, top = map(float, re.findall(r"M[\d.]+ ([\d.]+)V([\d.]+)H", bar)[0])
        heights.append(foot - top)
    assert 2 == len(bars)
    assert heights[0] == pytest.approx(2 * heights[1], abs=0.05)
    full = 200.0 - figures.TOP - figures.BOTTOM
    assert full == pytest.approx(heights[0], abs=0.05)  # 60 in 100 is a round top


def test_a_spread_that_never_arrives_is_an_empty_sheet() -> None:
    assert [] == texts(figures.passage_times(np.full(5, np.inf), [], 400.0, 200.0))


def test_marks_are_named_and_never_on_one_another() -> None:
    marks = [Mark(9.0, "quick 9.0"), Mark(9.2, "typical 9.2"), Mark(9.4, "slow end 9.4"), Mark(99.0, "beyond")]
    days = np.arange(12.0)
    svg = figures.fan(days, np.stack([100 - 8 * days] * 3, axis=1), marks, "miles", 400.0, 200.0)
    shown = [t for t in ElementTree.fromstring(svg).iter(f"{SVG}text") if t.get("font-weight") == "bold"]
    assert ["quick 9.0", "typical 9.2", "slow end 9.4"] == [text.text for text in shown]
    assert 3 == len({text.get("y") for text in shown})


def test_a_store_that_runs_out_shows_below_nothing() -> None:
    days = np.arange(5.0)
    svg = figures.fan(
        days, np.array([[10, 12, 14], [5, 8, 11], [0, 4, 8], [-5, 0, 5], [-10, -4, 2.0]]), [], "L", 300.0, 200.0
    )
    assert "−10" in texts(svg) and "0" in texts(svg)


@pytest.mark.parametrize(
    ("amount", "top"), [(182.0, 200.0), (0.9, 1.0), (1000.0, 1000.0), (1001.0, 1500.0), (7.0, 8.0)]
)
def test_axes_end_on_round_numbers(amount: float, top: float) -> None:
    assert top == pytest.approx(figures._round_top(amount))


def dark_share(svg: str, size: float) -> tuple[float, bool]:
    """Share of the disc that is black, and whether the right-hand limb is; by walking the path's two arcs."""
    data = paths(svg)[0].get("d") or ""
    numbers = re.findall(r"A([\d.]+) ([\d.]+) 0 0 ([01]) ([\d.]+) ([\d.]+)", data)
    radius, limb_sweep = float(numbers[0][1]), int(numbers[0][2])
    bulge, edge_sweep = float(numbers[1][0]), int(numbers[1][2])
    side = 1.0 if limb_sweep == 1 else -1.0  # downwards by the right where the sweep is clockwise
    edge = -bulge if edge_sweep == 1 else bulge  # upwards: clockwise passes by the left
    area = np.pi * radius**2 / 2 - side * np.pi * radius * edge / 2
    return float(area / (np.pi * radius**2)), side > 0


@pytest.mark.parametrize("lit", [0.0, 0.1, 0.3, 0.5, 0.7, 0.95, 1.0])
@pytest.mark.parametrize("waxing", [True, False])
@pytest.mark.parametrize("southern", [True, False])
def test_the_moon_is_dark_where_she_is_dark(lit: float, waxing: bool, southern: bool) -> None:
    """The terminator is half an ellipse: the lit share of the disc is (1 + cos i) / 2. In the north a waxing moon is
    lit on the right, in the south on the left."""
    share, right_is_dark = dark_share(figures.moon(lit, waxing, southern), 11.0)
    assert 1.0 - lit == pytest.approx(share, abs=0.005)
    assert right_is_dark == (waxing == southern)
