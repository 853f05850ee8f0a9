"""Which tests a change asks for, and which places of a source file a mutant may break."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.mutants import ROOMS, drawn, mutants_of
from tests.quick import ALWAYS, ROOT, chosen, files_for

if TYPE_CHECKING:
    from pathlib import Path

SOURCE = '''"""Words: 1 + 1."""
if TYPE_CHECKING:
    LIMIT = 3
def half(x: Literal[7] = 2) -> float:
    return x * 0.5 if x >= 4 and x else f"{x:.1f}"
'''


def test_a_source_file_s_own_tests_come_first() -> None:
    assert "tests/test_lanes.py" == files_for("passage/crossings/lanes.py")[0]
    assert "tests/test_power_panels.py" in files_for("passage/consequences/power/panels.py")
    assert files_for("passage/crossings/search/__init__.py"), "what none imports has the tests of its folder"


def test_every_model_has_tests() -> None:
    for room in ROOMS:
        for file in (ROOT / "passage" / room).rglob("*.py"):
            assert files_for(file.relative_to(ROOT).as_posix()), file


def test_a_change_asks_for_the_rooms_the_changed_tests_and_those_of_the_sources_and_helpers() -> None:
    tests = chosen(["README.md", "passage/crossings/lanes.py", "tests/crossing_cases.py", "tests/test_wind.py"])
    assert [*ALWAYS, "tests/test_wind.py", "tests/test_lanes.py"] == tests[:4]
    assert "tests/test_weather.py" in tests, "which is laid out by the helper"
    assert len(set(tests)) == len(tests)
    assert ALWAYS == chosen(["README.md"])


def test_mutants_break_numbers_and_operators_and_leave_types_and_words_alone(tmp_path: Path) -> None:
    file = tmp_path / "half.py"
    file.write_text(SOURCE, encoding="utf-8")
    found = {(mutant.was, mutant.becomes) for mutant in mutants_of(file, tmp_path)}
    assert {("2", "3"), ("*", "/"), ("0.5", "0.55"), (">=", ">"), ("4", "5"), ("and", "or")} == found
    whole = file.read_bytes()
    for mutant in mutants_of(file, tmp_path):
        compile(whole[: mutant.begin] + mutant.becomes.encode() + whole[mutant.end :], "half.py", "exec")


def test_a_line_more_leaves_the_order_of_the_other_mutants_as_it_was(tmp_path: Path) -> None:
    file = tmp_path / "half.py"
    file.write_text(SOURCE, encoding="utf-8")
    before = [mutant.words for mutant in drawn(mutants_of(file, tmp_path), seed=1)]
    file.write_text(SOURCE.replace("def half", "MORE = 9\ndef half"), encoding="utf-8")
    after = [mutant.words for mutant in drawn(mutants_of(file, tmp_path), seed=1)]
    assert before == [words for words in after if words != "MORE = 9"]
    assert len(before) + 1 == len(after)
