"""The guide and the README are executed: every console line runs, every link leads somewhere."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from passage.cli import main
from tests.voyage_cases import whole

ROOT = Path(__file__).parents[1]
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "guide").glob("*.md"))]


def blocks(page: Path, kind: str) -> list[str]:
    return re.findall(rf"```{kind}\n(.*?)```", page.read_text(encoding="utf-8"), re.DOTALL)


def commands(page: Path) -> list[str]:
    """The console lines of a guide's page; in the README they are indented, and name the program where it lies."""
    fenced = [line[2:] for block in blocks(page, "console") for line in block.splitlines() if line.startswith("$ ")]
    indented = re.findall(r"^    \.venv/bin/(passage .*)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    return [*fenced, *indented]


def _fewer(arguments: list[str]) -> list[str]:
    """A few crossings where a command sails and its line does not say how many."""
    takes = {option for parameter in main.commands[arguments[0]].params for option in parameter.opts}
    said = {"--crossings", "--at-anchor"} & set(arguments)
    return ["--crossings", "20"] if "--crossings" in takes and not said else []


TOLD = [page for page in PAGES if commands(page)]


@pytest.mark.parametrize("page", TOLD, ids=lambda page: str(page.relative_to(ROOT)))
def test_every_command_runs(page: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("routes", "boats", "seasons"):
        shutil.copytree(ROOT / name, tmp_path / name)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(
        "passage.desk.serve.serve", lambda *_, **__: None
    )  # until it is interrupted; ``test_desk_serve``
    told = commands(page)
    if not any(line.startswith("passage new") for line in told):
        CliRunner().invoke(
            main, ["new", "my-crossing", "--from", "Lagos, Portugal", "--to", "Funchal", "--when", "June"]
        )
    for line in told:
        program, *arguments = shlex.split(line, comments=True)
        assert "passage" == program
        result = CliRunner().invoke(main, [*arguments, *_fewer(arguments)])
        assert 0 == result.exit_code, f"{line}: {result.output}"


def test_the_pages_with_commands_are_those_that_a_newcomer_reads() -> None:
    assert {"README.md", "guide/README.md", "guide/breakage.md", "guide/sun.md"} == {
        str(page.relative_to(ROOT)) for page in TOLD
    }


@pytest.mark.parametrize("block", blocks(ROOT / "guide" / "README.md", "toml"), ids=lambda block: block.splitlines()[0])
def test_every_table_that_the_guide_shows_is_read(block: str, tmp_path: Path) -> None:
    """Written into the demonstration's voyage file as it stands, with the file it names beside it."""
    folder = tmp_path / "mine"
    whole(ROOT / "routes" / "cape-town-st-helena", folder)
    if "route.gpx" in block:
        made = ["export", str(folder), "gpx", "--crossings", "20", "--out", str(folder / "route.gpx")]
        assert 0 == CliRunner().invoke(main, made).exit_code
    if "wind.grib" in block:
        pytest.importorskip("eccodes")
        from tests.grib_cases import write

        write(folder / "wind.grib", issued=(20270209, 0), wide=True)
    voyage = (folder / "voyage.toml").read_text(encoding="utf-8")
    if "[route]" in block:
        voyage = re.sub(r"\[\[waypoint\]\].*?(?=\n\[[a-z]|\Z)", "", voyage, flags=re.DOTALL)
    (folder / "voyage.toml").write_text(f"{voyage}\n{block}", encoding="utf-8")
    for command in (["check"], ["sail", "--crossings", "20"]):
        result = CliRunner().invoke(main, [command[0], str(folder), *command[1:]])
        assert 0 == result.exit_code, result.output


@pytest.mark.parametrize("page", PAGES[:2], ids=lambda page: page.name)
def test_every_target_of_make_that_is_told_of_is_there(page: Path) -> None:
    there = set(re.findall(r"^([a-z]+):", (ROOT / "Makefile").read_text(encoding="utf-8"), re.MULTILINE))
    told = set(re.findall(r"(?:^ {4}|`)make ([a-z]+)", page.read_text(encoding="utf-8"), re.MULTILINE))
    assert told
    assert told <= there


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_link_leads_to_a_file(page: Path) -> None:
    links = re.findall(r"(?:\]\(|src=\")([^)#\"]+)[)\"]", page.read_text(encoding="utf-8"))
    assert [] == [link for link in links if "://" not in link and not (page.parent / link).exists()]


def test_every_command_is_told_in_the_guide_or_the_readme() -> None:
    text = "".join(page.read_text(encoding="utf-8") for page in PAGES if page.name != "commands.md")
    assert [] == [name for name in main.commands if f"passage {name}" not in text]


def test_the_page_of_the_notebook_runs_from_top_to_bottom(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("cartopy")
    for name in ("routes", "boats"):
        shutil.copytree(ROOT / name, tmp_path / name)
    monkeypatch.chdir(tmp_path)
    names: dict[str, object] = {}
    for block in blocks(ROOT / "guide" / "library.md", "python"):
        exec(compile(block, "guide/library.md", "exec"), names)
    assert (tmp_path / "chart.png").stat().st_size > 5_000
    assert len(repr(names["o"]).splitlines()) < 20
