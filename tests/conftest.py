"""Hypothesis draws the same examples everywhere and is never timed: a loaded machine is no fault of the code. There are
as many workers as processors: none is left for a mate or for threads of the linear algebra.
"""

from __future__ import annotations

import os
import tempfile
from contextlib import suppress
from pathlib import Path

os.environ.setdefault("OMP_NUM_THREADS", "1")  # read when numpy is
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

with suppress(ImportError):
    import pyproj  # noqa: F401  # before any test loads eccodes, whose wheel has a PROJ that crashes charts

from typing import TYPE_CHECKING

import pytest
from hypothesis import Phase, settings

from tests.shared import FOLDER

if TYPE_CHECKING:
    from collections.abc import Iterator

settings.register_profile("same everywhere", deadline=None, derandomize=True)
settings.register_profile(
    "first failure", settings.get_profile("same everywhere"), phases=[Phase.explicit, Phase.generate]
)
settings.load_profile("same everywhere")


def pytest_configure(config: pytest.Config) -> None:
    """The first of the processes makes the folder that they share, and takes it away. What commands keep on disk lies
    in it too: the same voyage under the same luck is worked out once, as it is for a sailor (``test_kept`` holds that
    nothing else is).
    """
    if FOLDER not in os.environ:
        folder = tempfile.TemporaryDirectory(prefix="passage-tests-")
        os.environ[FOLDER] = folder.name
        config.add_cleanup(lambda: (folder.cleanup(), os.environ.pop(FOLDER)))
    timed = config.getoption("--benchmark-only", default=False)  # a benchmark is of the whole work
    os.environ["PASSAGE_KEPT"] = "no" if timed else str(Path(os.environ[FOLDER], "kept"))


@pytest.fixture
def nothing_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every command works out everything, those in other processes too."""
    monkeypatch.setenv("PASSAGE_KEPT", "no")


@pytest.fixture(autouse=True, scope="session")
def one_processor() -> Iterator[None]:
    """No command calls a mate, whose answers are the same (``test_mate``), but where a test asks for one."""
    from passage import mate

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(mate, "_processors", lambda: 1)
        yield
