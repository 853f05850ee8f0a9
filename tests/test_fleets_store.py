"""The store: read by general readers, the same bytes whatever befalls, nothing lost, nothing overwritten."""

from __future__ import annotations

import errno
import random
import warnings
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
import xarray as xr

from passage.disk import Unhurried
from passage.errors import InputFaults
from passage.fleets.schema import KEY, REFUSED, VARIABLES
from passage.fleets.store import Store
from tests.fleet_cases import bytes_in, figures_of, fleet

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from passage.fleets.table import Block


class Killed(BaseException):
    """The process is gone, between two things that it does to a disk."""


class Mortal(Unhurried):
    """A disk under a process that is killed before its n-th doing; a killed one tidies nothing up."""

    def __init__(self, lives: int) -> None:
        self.lives = lives

    def _do(self) -> None:
        self.lives -= 1
        if self.lives < 0:
            raise Killed

    def append(self, path: Path, content: bytes) -> None:
        self._do()
        super().append(path, content[: len(content) // 2] if self.lives == 0 else content)
        if self.lives == 0:
            raise Killed

    def move(self, path: Path, to: Path) -> None:
        self._do()
        super().move(path, to)

    def remove(self, path: Path) -> None:
        if self.lives >= 0:
            super().remove(path)


class Full(Unhurried):
    """A disk with room for so many files."""

    def __init__(self, room: int) -> None:
        self.room = room

    def append(self, path: Path, content: bytes) -> None:
        self.room -= 1
        if self.room < 0:
            raise OSError(errno.ENOSPC, "No space left on device")
        super().append(path, content)


def fill(folder: Path, disk: Unhurried | None = None, order: Sequence[int] | None = None) -> int:
    """Write what is not there yet; how many blocks."""
    table = fleet()
    store = Store(folder, table, disk)
    blocks: list[Block] = list(table.blocks())
    written = 0
    with store.opened():
        kept = store.keys()
        for number in order or range(len(blocks)):
            block = blocks[number]
            if kept.get(block.number) != table.key(block):
                store.write(block, table.key(block), figures_of(table, block))
                written += 1
    return written


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    folder = tmp_path_factory.mktemp("fleet") / "whole.zarr"
    fill(folder)
    return bytes_in(folder)


def test_the_order_in_which_blocks_come_in_changes_no_byte(whole: dict[str, bytes], tmp_path: Path) -> None:
    fill(tmp_path / "s.zarr", order=[3, 1, 2, 0])
    assert whole == bytes_in(tmp_path / "s.zarr")


def test_killed_at_twenty_moments_and_begun_again_it_is_the_same_byte_for_byte(
    whole: dict[str, bytes], tmp_path: Path
) -> None:
    chance = random.Random(22)
    for life in chance.sample(range(1, 2 * len(whole)), 20):
        folder = tmp_path / f"{life}.zarr"
        with pytest.raises(Killed):
            fill(folder, Mortal(life))
        assert whole != bytes_in(folder)
        fill(folder)
        assert whole == bytes_in(folder), life


def test_killed_again_and_again_it_comes_to_the_same_end(whole: dict[str, bytes], tmp_path: Path) -> None:
    folder, times = tmp_path / "s.zarr", 0
    while True:
        try:
            fill(folder, Mortal(40))
            break
        except Killed:
            times += 1
    assert times > 3
    assert whole == bytes_in(folder)


def test_a_full_disk_is_told_and_what_is_written_stays(whole: dict[str, bytes], tmp_path: Path) -> None:
    folder = tmp_path / "s.zarr"
    with pytest.raises(OSError, match="No space left"):
        fill(folder, Full(len(whole) - 15))
    assert 0 < fill(folder) < 4
    assert whole == bytes_in(folder)


def test_a_store_that_is_whole_is_not_written_again(tmp_path: Path) -> None:
    assert 4 == fill(tmp_path / "s.zarr")
    assert Store(tmp_path / "s.zarr", fleet()).whole()
    assert 0 == fill(tmp_path / "s.zarr", Full(0))


@pytest.mark.parametrize("content", [b"rubbish", b"", None])
@pytest.mark.parametrize("hurt", [f"{KEY}/0.0.0.0", "arrival_h/0.0.0.0.0", f"{REFUSED}/2.0.0.0"])
def test_a_file_that_a_cut_of_power_tore_or_lost_shows_and_its_block_is_sailed_again(
    hurt: str, content: bytes | None, whole: dict[str, bytes], tmp_path: Path
) -> None:
    folder = tmp_path / "s.zarr"
    fill(folder)
    (folder / hurt).unlink()
    if content is not None:
        (folder / hurt).write_bytes(content)
    assert not Store(folder, fleet()).whole()
    assert 1 == fill(folder)
    assert whole == bytes_in(folder)


def test_a_general_reader_finds_figures_units_and_reasons(whole: dict[str, bytes], tmp_path: Path) -> None:
    fill(tmp_path / "s.zarr")
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        found = xr.open_zarr(tmp_path / "s.zarr", chunks=None).load()
    table = fleet()
    assert "CF-1.11" == found.attrs["Conventions"]
    assert {"boat": 4, "track": 1, "departure": 2, "climate": 1, "member": 20, "share": 8, "store": 4} == {
        name: length for name, length in found.sizes.items() if name != "day"
    }
    assert ["2027-06-01T09:00", "2027-07-01T09:00"] == found.departure.values.astype("datetime64[m]").astype(
        str
    ).tolist()
    for block in table.blocks():
        for cell, values in zip(block.cells, figures_of(table, block), strict=True):
            at = {"boat": block.boat, "track": block.track, "departure": cell[0], "climate": cell[1]}
            if isinstance(values, str):
                assert values == str(found[REFUSED].isel(at).values)
                assert np.isnan(found["arrival_h"].isel(at)).all()
            else:
                assert all(np.array_equal(values[each.name], found[each.name].isel(at)) for each in VARIABLES)
    assert "h" == found["slow_end_h"].attrs["units"]


@pytest.mark.parametrize("there", [{"notes.txt": b"mine"}, {"arrival_h/0.0.0.0.0": b"x"}, {".zgroup": b"{}"}])
def test_a_folder_that_holds_something_else_is_refused_and_stays_as_it_is(
    there: dict[str, bytes], tmp_path: Path
) -> None:
    for name, content in there.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_bytes(content)
    with pytest.raises(InputFaults, match="something else"):
        fill(tmp_path)
    assert there == bytes_in(tmp_path)


def test_another_fleet_is_refused_and_a_file_too(tmp_path: Path) -> None:
    fill(tmp_path / "s.zarr")
    for other in (replace(fleet(), crossings=21), replace(fleet(), boats=("A", "B", "C", "D"))):
        with pytest.raises(InputFaults, match="another fleet"), Store(tmp_path / "s.zarr", other).opened():
            pass
    (tmp_path / "file").write_text("x", encoding="utf-8")
    with pytest.raises(InputFaults, match="something else"):
        fill(tmp_path / "file")


def test_two_runs_do_not_write_at_once(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("passage.disk.WAIT_S", 0.05)
    with (
        Store(tmp_path / "s.zarr", fleet()).opened(),
        pytest.raises(InputFaults, match="another run"),
        Store(tmp_path / "s.zarr", fleet()).opened(),
    ):
        pass
