"""The fresh voyage folder: it reads, its comments tell the truth about the defaults, and nothing is overwritten."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any, get_args

import pytest

from passage.errors import InputFaults
from passage.inputs.anchorage import ANCHORAGE_FILE, AnchorageFile
from passage.inputs.boat import Boat
from passage.inputs.crew import Crew
from passage.inputs.electrics import ELECTRICS_FILE, Electrics
from passage.inputs.folder import read_folder
from passage.inputs.gear import GEAR_FILE, Gear
from passage.inputs.home import Home
from passage.inputs.provisions import STORES_FILE, Provisions
from passage.inputs.search import TRACK_FILE, TrackLimits
from passage.inputs.template import write_template
from passage.inputs.toml import Section, read_fact
from passage.inputs.troubles import TROUBLES_FILE, Troubles
from passage.inputs.unedited import INVENTED, TEMPLATES, unedited
from passage.inputs.voyage import Voyage
from passage.inputs.watch import WATCH_FILE, Watch

if TYPE_CHECKING:
    from pathlib import Path

FACTS: dict[str, type[Section]] = {
    "voyage.toml": Voyage,
    "boat.toml": Boat,
    "crew.toml": Crew,
    ELECTRICS_FILE: Electrics,
}
FACTS[STORES_FILE] = Provisions
FACTS |= {
    GEAR_FILE: Gear,
    ANCHORAGE_FILE: AnchorageFile,
    WATCH_FILE: Watch,
    TROUBLES_FILE: Troubles,
    TRACK_FILE: TrackLimits,
}
EDITED = {
    "voyage.toml": ("28 07.5N", "28 07.6N"),
    "boat.toml": ("10.2 m", "10.3 m"),
    "crew.toml": ("age = 52", "age = 53"),
    ELECTRICS_FILE: ('power = "3 W"', 'power = "2.5 W"'),
    ANCHORAGE_FILE: ("16 kg", "20 kg"),
}
DEFAULT = re.compile(r"^# ([a-z_]+ = .+)$", re.MULTILINE)
ADDABLE = re.compile(r"^#   ([a-z_]+) = .+$", re.MULTILINE)


def edit(folder: Path) -> None:
    """Something of each example replaced."""
    for file, (was, is_now) in EDITED.items():
        text = (folder / file).read_text(encoding="utf-8")
        assert was in text
        (folder / file).write_text(text.replace(was, is_now, 1), encoding="utf-8")


def test_examples_that_nobody_replaced_are_faults_by_name_and_key(tmp_path: Path) -> None:
    write_template(tmp_path, "Away")
    with pytest.raises(InputFaults, match="as in the template") as told:
        read_folder(tmp_path)
    assert set(INVENTED.items()) == {(fault.file, fault.key) for fault in told.value.faults}
    assert all(fault.line for fault in told.value.faults)


@pytest.mark.parametrize("file", INVENTED)
def test_one_example_left_is_one_fault(file: str, tmp_path: Path) -> None:
    write_template(tmp_path, "Away")
    edit(tmp_path)
    (tmp_path / file).write_text((TEMPLATES / file).read_text(encoding="utf-8"), encoding="utf-8")
    with pytest.raises(InputFaults) as told:
        read_folder(tmp_path)
    assert [(file, INVENTED[file])] == [(fault.file, fault.key) for fault in told.value.faults]


def test_a_fresh_folder_that_was_edited_reads_without_faults(tmp_path: Path) -> None:
    paths = write_template(tmp_path / "new" / "folder", "Away")
    named = ["voyage.toml", "boat.toml", "crew.toml", "electrics.toml", "stores.toml", "pantry.csv"]
    assert [*named, "gear.toml", "anchorage.toml", "watch.toml", "troubles.toml", "track.toml"] == [
        path.name for path in paths
    ]
    edit(tmp_path / "new" / "folder")
    facts = read_folder(tmp_path / "new" / "folder")
    assert "Away" == facts.voyage.departure.name
    assert facts.polar is None
    assert facts.electrics is not None
    assert facts.provisions.gas_bottles
    assert facts.pantry.aboard
    assert facts.gear.items
    assert facts.anchorage is not None


@pytest.mark.parametrize("name", ['the "Sound"', "back\\slash", "São Vicente", "x = 1 # y", "⛵"])
def test_any_printable_name_comes_back(name: str, tmp_path: Path) -> None:
    write_template(tmp_path, name)
    edit(tmp_path)
    assert name == read_folder(tmp_path).voyage.departure.name


@pytest.mark.parametrize("name", ["", "  ", "two\nlines", "a\x7fb", "x" * 81])
def test_a_name_that_would_not_read_is_refused_and_nothing_written(name: str, tmp_path: Path) -> None:
    with pytest.raises(InputFaults):
        write_template(tmp_path, name)
    assert [] == list(tmp_path.iterdir())


@pytest.mark.parametrize("file", FACTS)
def test_the_defaults_in_the_comments_are_the_defaults(file: str, tmp_path: Path) -> None:
    text = (TEMPLATES / file).read_text(encoding="utf-8")
    (tmp_path / file).write_text(DEFAULT.sub(r"\1", text), encoding="utf-8")
    assert DEFAULT.search(text)
    assert read_fact(TEMPLATES / file, FACTS[file]) == read_fact(tmp_path / file, FACTS[file])


@pytest.mark.parametrize("file", FACTS)
def test_every_key_that_a_file_may_hold_is_explained(file: str) -> None:
    text = (TEMPLATES / file).read_text(encoding="utf-8")
    shown = set(re.findall(r"(?:^|^# |^#   |[{,] )([a-z_]+) = ", text, re.MULTILINE))
    assert keys_in(FACTS[file]) <= shown | set(
        re.findall(r"^(?:#   )?\[+(?:[a-z_]+\.)?([a-z_]+)\]+", text, re.MULTILINE)
    )


@pytest.mark.parametrize("file", [GEAR_FILE, ANCHORAGE_FILE])
def test_everything_that_may_be_added_reads(file: str, tmp_path: Path) -> None:
    text = (TEMPLATES / file).read_text(encoding="utf-8")
    (tmp_path / file).write_text(
        re.sub(r"^#   ((?:\[|[a-z_]+ = ).*)$", r"\1", text, flags=re.MULTILINE), encoding="utf-8"
    )
    whole = read_fact(tmp_path / file, FACTS[file])
    assert whole.model_fields_set == set(FACTS[file].model_fields) - {"stay_h"}


def keys_in(section: type[Section]) -> set[str]:
    """Every key of a section and of the sections inside it."""
    inside = (found for field in section.model_fields.values() for found in sections_in(field.annotation))
    return {str(field.alias) for field in section.model_fields.values()}.union(*map(keys_in, inside))


def sections_in(annotation: Any) -> list[type[Section]]:
    if isinstance(annotation, type) and issubclass(annotation, Section):
        return [annotation]
    return [found for part in get_args(annotation) for found in sections_in(part)]


def test_the_keys_of_inner_tables_are_among_them() -> None:
    assert {"water_tank", "unusable", "gust_limit", "calms_allowance"} <= keys_in(Boat)


def test_what_stands_already_is_never_overwritten(tmp_path: Path) -> None:
    (tmp_path / "crew.toml").write_text("mine", encoding="utf-8")
    with pytest.raises(InputFaults, match=r"crew\.toml: stands there already"):
        write_template(tmp_path, "x")
    assert ["crew.toml"] == [path.name for path in tmp_path.iterdir()]
    assert "mine" == (tmp_path / "crew.toml").read_text(encoding="utf-8")


def test_a_folder_that_cannot_be_made_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    with pytest.raises(InputFaults, match="cannot be written"):
        write_template(tmp_path / "file" / "folder", "x")


def test_a_file_of_endless_keys_is_nobodys_example_and_costs_no_memory(tmp_path: Path) -> None:
    import tracemalloc

    (tmp_path / "voyage.toml").write_text(f"{'a.' * 30_000}a = 1\n", encoding="utf-8")
    tracemalloc.start()
    try:
        assert [] == list(unedited(Home(tmp_path)))
        assert tracemalloc.get_traced_memory()[1] < 20_000_000
    finally:
        tracemalloc.stop()
