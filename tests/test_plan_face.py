"""The shipped faces: widths and letters against another reader of the same files."""

from __future__ import annotations

import pytest

from passage.plan.face import FONTS, _advances, drawable, width_em
from passage.plan.fonts.build import NAMES, advances


@pytest.mark.parametrize("name", NAMES)
def test_the_shipped_widths_are_those_of_the_files(name: str) -> None:
    """T: fontTools on the shipped files."""
    assert advances(name) == _advances(name)


def test_figures_are_all_of_one_width_so_that_columns_stand() -> None:
    """1300 of 2000 units in B612 (T: fontTools on the shipped files)."""
    for bold in (False, True):
        assert {0.65} == {width_em(figure, bold) for figure in "0123456789"}


@pytest.mark.parametrize(
    ("letter", "em"),
    [("W", 1900 / 2000), ("i", 600 / 2000), ("°", 600 / 2000), ("m", 1800 / 2000), ("−", 1100 / 2000)],
)
def test_letters_have_the_widths_of_the_file(letter: str, em: float) -> None:
    """T: fontTools 4 on the shipped files."""
    assert em == pytest.approx(width_em(letter))


def test_marks_that_the_first_face_lacks_come_from_the_second() -> None:
    """DejaVu Sans, units of 2048 (T: fontTools 4)."""
    assert "Nukuʻalofa ā" == drawable("Nukuʻalofa ā")
    assert width_em("ā") == pytest.approx(1255 / 2048)


def test_what_no_face_holds_is_written_as_its_code_point() -> None:
    assert "[U+8239] [U+1F6A2] ok" == drawable("船 \U0001f6a2 ok")
    assert "[U+0009][U+0000]" == drawable("\t\x00")


def test_licences_travel_with_the_faces() -> None:
    assert "SIL OPEN FONT LICENSE Version 1.1" in (FONTS / "B612-LICENSE.txt").read_text(encoding="utf-8")
    assert "Bitstream Vera" in (FONTS / "DejaVu-LICENSE.txt").read_text(encoding="utf-8")
