"""Text that came from outside is printed with what is hidden in it written out. All invented."""

from __future__ import annotations

import json
import shutil
from io import BytesIO
from pathlib import Path

import netCDF4
import numpy as np
import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from passage.cli import main
from passage.hidden import is_hidden, uncovered, uncovered_json
from passage.plan.face import drawable
from passage.shipped import shipped
from tests.plan_cases import words_on
from tests.voyage_cases import whole

EVIL = "red \x1b[31m \x9b2J \u202eback\u202c \u200bzero \u2028 \ud800 \U000e0041 end"


def test_what_steers_turns_or_hides_is_written_out() -> None:
    assert r"red \x1b[31m \x9b2J \u202eback\u202c \u200bzero \u2028 \ud800 \U000e0041 end" == uncovered(EVIL)
    assert not any(map(is_hidden, uncovered(EVIL)))


@pytest.mark.parametrize(
    "text", ["two\nlines", "as a\r\ncalendar ends them\r\n", "Nukuʻalofa °′″ − – ½", "مرحبا", "a\xa0b"]
)
def test_what_is_to_be_seen_stays(text: str) -> None:
    assert text == uncovered(text)


def test_json_means_the_same() -> None:
    written = uncovered_json(json.dumps({"a\u202e": EVIL}, ensure_ascii=False))
    assert not any(map(is_hidden, written))
    assert {"a\u202e": EVIL} == json.loads(written)


def test_nothing_hidden_comes_onto_paper() -> None:
    assert "a[U+202E]b[U+200B]" == drawable("a\u202eb\u200b")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A voyage in winds whose title is hostile, beside a boat whose log says more."""
    folder = Path(whole(shipped("routes") / "cape-town-st-helena", tmp_path / "voyage"))
    shutil.copy(shipped("climatology_demo") / "current.nc", folder / "own.nc")
    with netCDF4.Dataset(folder / "own.nc", "r+") as file:
        file.title = EVIL.replace("\ud800", "")
        for variable in file.variables.values():
            if "velocity" in getattr(variable, "standard_name", ""):
                variable[:] = np.ma.filled(variable[:], 0.0)
    text = (folder / "voyage.toml").read_text(encoding="utf-8")
    (folder / "voyage.toml").write_text(text.replace("[voyage]\n", '[voyage]\ncurrent = "own.nc"\n'), encoding="utf-8")
    return folder


def run(*arguments: object) -> str:
    done = CliRunner().invoke(main, [str(each) for each in arguments])
    assert done.exit_code in (0, 2), done.output
    assert not any(map(is_hidden, done.output)), done.output
    return done.output


def test_hostile_names_in_files_are_told_clean(folder: Path, tmp_path: Path) -> None:
    out = ("--crossings", "20", "--out")
    told = run("plan", folder, *out, tmp_path / "plan.pdf", "--only", "sources")
    assert "Printed plan" in told
    assert "[U+001B]" in "".join(words_on(tmp_path / "plan.pdf"))
    run("page", folder, *out, tmp_path / "page.html")
    assert not any(map(is_hidden, (tmp_path / "page.html").read_text(encoding="utf-8")))


def test_faults_that_quote_a_file_are_told_clean(folder: Path) -> None:
    with netCDF4.Dataset(folder / "own.nc", "r+") as file:
        for variable in file.variables.values():
            if "velocity" in getattr(variable, "standard_name", ""):
                variable.units = "furlong\x1b[2J\u202e"
    assert r"furlong\x1b[2J\u202e" in run("check", folder)


def test_a_remark_in_the_log_is_told_clean(folder: Path) -> None:
    run("log", "start", folder, "--without-plan", "--yes")
    run("log", "note", folder, "ship \u202e\u200b astern", "--yes")
    run("log", "show", folder)
    run("log", "show", folder, "--json")


def test_the_title_of_the_document_has_no_places_to_break(folder: Path, tmp_path: Path) -> None:
    text = (folder / "voyage.toml").read_text(encoding="utf-8").split("\n")
    name = "Wide" * 20
    lines = [f'name = "{name}"' if line.startswith("name") and at < 12 else line for at, line in enumerate(text)]
    (folder / "voyage.toml").write_text("\n".join(lines), encoding="utf-8")
    run("plan", folder, "--crossings", "20", "--out", tmp_path / "plan.pdf", "--only", "sources")
    title = PdfReader(BytesIO((tmp_path / "plan.pdf").read_bytes())).metadata
    assert title
    assert name == title.title
