"""Shipped data is found and read alike from a checkout and from an installed wheel."""

from __future__ import annotations

import json
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest

from passage.shipped import shipped

ROOT = Path(__file__).parents[1]
ASK = """
import json, passage
from passage.inputs.climate import read_climate
from passage.sailings.land import known_dangers, on_land
from passage.shipped import shipped
from passage.verify import verify
climate = read_climate()
print(json.dumps({
    "package": passage.__file__,
    "routes": sorted(path.name for path in shipped("routes").iterdir() if path.is_dir()),
    "wind": float(climate.wind_speed_kn[climate.wind_speed_kn > 0].sum()),
    "land": [bool(here) for here in on_land([-33.0, -16.0], [20.0, -10.0])],
    "dangers": len(known_dangers()),
    "holds": all(check.holds for check in verify()),
}))
"""


def asked(folder: Path, elsewhere: Path) -> dict[str, object]:
    done = subprocess.run(
        [sys.executable, "-c", ASK],
        cwd=elsewhere,
        env={"PYTHONPATH": str(folder), "PATH": ""},
        capture_output=True,
        text=True,
        check=True,
    )
    answer: dict[str, object] = json.loads(done.stdout)
    return answer


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A wheel of this checkout, unpacked as an installer would."""
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "--target", "wheel", "--directory", str(folder)],
        cwd=ROOT,
        check=True,
        capture_output=True,
    )
    (built,) = folder.glob("*.whl")
    with zipfile.ZipFile(built) as archive:
        archive.extractall(folder / "installed")
    return folder / "installed"


def test_a_wheel_reads_the_same_data_as_the_checkout(wheel: Path, tmp_path: Path) -> None:
    installed, checkout = asked(wheel, tmp_path), asked(ROOT, tmp_path)
    assert str(wheel) in str(installed.pop("package"))
    assert str(ROOT) in str(checkout.pop("package"))
    assert checkout == installed
    assert [True, False] == checkout["land"]
    assert True is installed["holds"]


def test_a_wheel_carries_what_a_first_voyage_needs(wheel: Path, tmp_path: Path) -> None:
    code = f"from passage.cli import main\nmain(['new', {str(tmp_path / 'mine')!r}, '--template'])"
    subprocess.run([sys.executable, "-c", code], cwd=tmp_path, env={"PYTHONPATH": str(wheel), "PATH": ""}, check=True)
    assert (tmp_path / "mine" / "voyage.toml").is_file()


def test_the_licences_travel_with_the_data() -> None:
    assert (shipped("coastline") / "COPYING.LESSER").is_file()
    assert (shipped("climatology_demo") / "SOURCES.md").is_file()


def test_a_folder_that_is_not_shipped_says_where_it_was_sought() -> None:
    with pytest.raises(FileNotFoundError, match="reinstall the tool"):
        shipped("no-such-folder")


def test_the_licence_expression_names_the_terms_of_the_data_and_of_the_typefaces() -> None:
    """As NOTICE has them: the code, the desk's script, coastline, towns, typefaces, the grids of winds and currents."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    named = set(project["license"].split(" AND "))
    ours = {"MIT", "0BSD", "LGPL-3.0-or-later", "OFL-1.1", "Bitstream-Vera", "CC-BY-4.0", "LicenseRef-Ferret"}
    assert ours == named
    assert all(list(ROOT.glob(pattern)) for pattern in project["license-files"])
