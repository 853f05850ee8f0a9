"""Files made together, or none."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from passage.errors import InputFaults
from passage.inputs.making import write_together

if TYPE_CHECKING:
    from pathlib import Path


def test_where_one_cannot_be_written_the_new_ones_go_and_the_old_one_stays(tmp_path: Path) -> None:
    (tmp_path / "old").write_text("old", encoding="utf-8")
    (tmp_path / "no-folder").write_text("", encoding="utf-8")
    with pytest.raises(InputFaults, match=r"no-folder.+cannot be written"):
        write_together({tmp_path / "old": "new", tmp_path / "a" / "new": "new", tmp_path / "no-folder" / "b": "new"})
    assert not (tmp_path / "a" / "new").exists()
    assert (tmp_path / "old").exists()


def test_folders_are_made(tmp_path: Path) -> None:
    write_together({tmp_path / "a" / "b": "text"})
    assert "text" == (tmp_path / "a" / "b").read_text(encoding="utf-8")
