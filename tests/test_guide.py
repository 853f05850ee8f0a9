"""The guide and the README are executed: every console line runs, every link leads somewhere."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from passage.cli import main

ROOT = Path(__file__).parents[1]
SAILS = {"sail", "stores", "plan", "power", "watch", "ready", "troubles", "page"}
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted((ROOT / "guide").glob("*.md"))]


def commands(page: Path) -> list[str]:
    blocks = re.findall(r"```console\n(.*?)```", page.read_text(encoding="utf-8"), re.DOTALL)
    return [line[2:] for block in blocks for line in block.splitlines() if line.startswith("$ ")]


def test_every_command_of_the_guide_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shutil.copytree(ROOT / "routes", tmp_path / "routes")
    monkeypatch.chdir(tmp_path)
    told = commands(ROOT / "guide" / "README.md")
    assert len(told) > 5
    for line in told:
        program, *arguments = shlex.split(line)
        assert "passage" == program
        sails = {"--crossings"} & set(arguments)
        takes_crossings = arguments[0] in SAILS and not sails
        result = CliRunner().invoke(main, [*arguments, *(["--crossings", "50"] if takes_crossings else [])])
        assert 0 == result.exit_code, f"{line}: {result.output}"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_link_leads_to_a_file(page: Path) -> None:
    links = re.findall(r"\]\(([^)#]+)\)", page.read_text(encoding="utf-8"))
    assert [] == [link for link in links if "://" not in link and not (page.parent / link).exists()]


def test_every_command_is_told_in_the_guide_or_the_readme() -> None:
    text = "".join(page.read_text(encoding="utf-8") for page in PAGES if page.name != "commands.md")
    assert [] == [name for name in main.commands if f"passage {name}" not in text]
