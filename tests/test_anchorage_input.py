"""The anchorage file: what it may say, and the sentence for everything it may not."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from passage.consequences.anchoring.lying import at_anchor
from passage.errors import InputFaults
from passage.inputs.anchorage import AnchorageFile
from passage.inputs.folder import read_folder
from passage.inputs.toml import read_fact
from passage.shipped import shipped

if TYPE_CHECKING:
    from pathlib import Path

GOOD = """\
[anchorage]
name = "Invented bay"
depth = "12 m"
tide_rise = "1.0 m"
bow_height = "1.2 m"
bottom = "sand"
wind = "25 kn"
fetch = "3 nm"

[[anchor]]
name = "bower"
mass = "20 kg"
shackle_working_load = "1000 kg"
[anchor.chain]
diameter = "8 mm"
grade = 40
length = "60 m"

[[anchor]]
name = "kedge"
mass = "26 lb"
[anchor.chain]
diameter = "5 mm"
grade = 30
length = "8 m"
[anchor.rope]
diameter = "14 mm"
length = "60 m"
breaking_load = "4100 kg"

[windlass]
chain_per_stroke = "12 cm"
"""


def read(folder: Path, text: str) -> AnchorageFile:
    path = folder / "anchorage.toml"
    path.write_text(text, encoding="utf-8")
    return read_fact(path, AnchorageFile)


def faults(folder: Path, text: str) -> list[tuple[int, str, str]]:
    with pytest.raises(InputFaults) as caught:
        read(folder, text)
    return [(fault.line, fault.key, fault.found) for fault in caught.value.faults]


def test_a_good_file_reads(tmp_path: Path) -> None:
    facts = read(tmp_path, GOOD)
    assert (facts.place.depth_m, facts.place.fetch_nm, facts.place.wind_kn) == (12.0, 3.0, 25.0)
    bower, kedge = facts.anchors
    assert bower.chain is not None
    assert (bower.chain.diameter_mm, bower.chain.grade, bower.chain.length_m) == (8.0, 40, 60.0)
    assert bower.shackle_working_n == pytest.approx(9806.65)
    assert kedge.mass_kg == pytest.approx(26 * 0.45359237)
    assert kedge.rope is not None
    assert kedge.rope.breaking_n == pytest.approx(4100 * 9.80665)
    assert facts.windlass is not None
    assert facts.windlass.chain_per_stroke_m == pytest.approx(0.12)


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ('depth = "12 m"', 'depth = "0 m"', (3, "anchorage.depth", '"0 m"')),
        ('depth = "12 m"', "", (1, "anchorage.depth", "missing")),
        ("grade = 40\n", "", (14, "anchor[1].chain.grade", "missing")),
        ("grade = 40", "grade = 45", (16, "anchor[1].chain.grade", "45")),
        ('diameter = "8 mm"\n', "", (14, "anchor[1].chain.diameter", "missing")),
        ('diameter = "8 mm"', 'diameter = "8"', (15, "anchor[1].chain.diameter", '"8"')),
        ('diameter = "8 mm"', 'diameter = "8 m"', (15, "anchor[1].chain.diameter", '"8 m"')),
        ('diameter = "8 mm"', "diameter = 8.0", (15, "anchor[1].chain.diameter", "8.0")),
        ('length = "60 m"\n\n', 'length = "11 m"\n\n', (10, "anchor[1]", "a line of 11 m")),
        ('mass = "20 kg"\n', 'mass = "20 kg"\nveer = "61 m"\n', (13, "anchor[1].veer", "61 m")),
        ('mass = "20 kg"\n', 'mass = "20 kg"\nveer = "14 m"\n', (13, "anchor[1].veer", "14 m")),
        ('breaking_load = "4100 kg"', 'breaking_load = "41 kN"', (29, "anchor[2].rope.breaking_load", '"41 kN"')),
        ('bottom = "sand"', 'bottom = "concrete"', (6, "anchorage.bottom", '"concrete"')),
        ('name = "kedge"', 'name = "bower"', (20, "anchor[2].name", '"bower"')),
        ('wind = "25 kn"', 'wind = "0 kn"', (7, "anchorage.wind", '"0 kn"')),
        ('fetch = "3 nm"', 'fecth = "3 nm"', (8, "anchorage.fecth", "unknown key")),
        ('chain_per_stroke = "12 cm"', 'chain_per_stroke = "0 m"', (32, "windlass.chain_per_stroke", '"0 m"')),
    ],
)
def test_a_fault_names_line_and_key(tmp_path: Path, old: str, new: str, expected: tuple[int, str, str]) -> None:
    assert old in GOOD
    assert [expected] == faults(tmp_path, GOOD.replace(old, new, 1))


def test_an_anchor_without_a_line_is_a_fault(tmp_path: Path) -> None:
    text = GOOD.split("[[anchor]]")[0] + '[[anchor]]\nname = "bower"\nmass = "20 kg"\n'
    assert [(10, "anchor[1]", "an anchor without a line")] == faults(tmp_path, text)


def test_no_anchor_at_all_is_a_fault(tmp_path: Path) -> None:
    assert [(0, "anchor", "missing")] == faults(tmp_path, GOOD.split("[[anchor]]")[0])


def test_all_faults_are_told_at_once(tmp_path: Path) -> None:
    text = GOOD.replace('depth = "12 m"', 'depth = "0 m"').replace("grade = 40\n", "").replace('"25 kn"', '"25 km/h."')
    assert [3, 7, 14] == [line for line, _, _ in faults(tmp_path, text)]


def test_a_missing_file_is_a_fault_and_no_crash(tmp_path: Path) -> None:
    with pytest.raises(InputFaults):
        read_fact(tmp_path / "anchorage.toml", AnchorageFile)


def test_the_demonstration_anchorage_reads_and_is_lain_in() -> None:
    facts = read_folder(shipped("routes") / "cape-town-st-helena").anchorage
    assert facts is not None
    there = at_anchor(facts, 9.1, 2.75)
    assert [check.scope_enough for check in there.anchors] == [True, False]
    assert all(check.swing.fits for check in there.anchors)
