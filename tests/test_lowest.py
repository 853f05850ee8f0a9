"""Lower bounds are read off pyproject.toml; whether they are true, `make lowest` tells, which CI runs."""

from __future__ import annotations

import pytest

from tests.lowest import lowest, pinned


def test_every_dependency_has_a_lower_bound_that_can_be_installed() -> None:
    found = lowest()
    assert len(found) > 15
    assert {"pint==0.24.4", "typst==0.15.0", "highspy==1.7.1"} <= set(found)


def test_a_dependency_without_one_is_refused() -> None:
    with pytest.raises(ValueError, match="names no lower bound"):
        pinned("numpy")
