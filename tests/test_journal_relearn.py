"""Relearning: a weekend's shakedown counts, nothing counts twice. The log is invented."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from passage.inputs.folder import read_folder
from passage.inputs.parting import part
from passage.journal import log
from passage.journal.doubts import Doubtful
from passage.journal.relearn import accept_and_note, relearn
from passage.journal.storage import read_journal
from passage.journal.taught import taught_of
from passage.plan.sheets.learned import learned_text
from passage.shipped import shipped
from tests.voyage_cases import whole

if TYPE_CHECKING:
    from pathlib import Path

START = datetime(2027, 1, 16, 8, tzinfo=UTC)


def at(days: float) -> log.Moment:
    return log.Moment(START + timedelta(days=days))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A weekend out and back off the Cape, slower than the polar, the keel tank sounded."""
    folder = tmp_path / "voyage"
    whole(shipped("routes") / "cape-town-st-helena", folder)
    given = {"wind": "SE 14", "engine": "100", "fuel": "85"}
    log.start(folder, read_folder(folder), at(0), time="2027-01-16 08:00", given=given)
    log.noon(folder, {"position": "33 00S 17 00E", "wind": "SE 14", "water": ["keel tank=82"]}, at(1))
    log.noon(folder, {"position": "33 50S 18 20E", "wind": "SW 12", "water": ["keel tank=74"]}, at(2))
    return folder


def landed(folder: Path) -> None:
    log.landfall(folder, {"position": "33 52.5S 18 23.5E", "engine": "102", "fuel": "82"}, at(2.1))


def test_a_weekend_teaches_a_little_and_says_how_sure_it_is(folder: Path) -> None:
    landed(folder)
    facts = read_folder(folder)
    learned = relearn(facts, read_journal(folder).entries)
    assert 2 == learned.lessons.performance.days
    before, after = learned.lessons.performance.before, learned.lessons.performance.after
    assert after.sd < before.sd
    assert after.mean != before.mean
    words = " ".join(learned_text(taught_of(learned.lessons)).split())
    assert "(90 ± 8 before; 2 days)" in words
    assert "performance_mean" in learned.proposal.diff


def test_a_log_is_learned_from_once(folder: Path) -> None:
    facts = read_folder(folder)
    with pytest.raises(Doubtful, match="no landfall in this log"):
        relearn(facts, read_journal(folder).entries)
    landed(folder)
    learned = relearn(facts, read_journal(folder).entries)
    assert () == accept_and_note(folder, learned, at(3))
    fresh = read_folder(folder)
    assert fresh.boat.helm.performance_mean_share == pytest.approx(
        learned.lessons.performance.before.mean, abs=learned.lessons.performance.before.sd
    )
    assert fresh.boat.helm.performance_mean_share != facts.boat.helm.performance_mean_share
    assert "relearned: performance_mean" in read_journal(folder).entries[-1].body["remarks"]
    with pytest.raises(Doubtful, match=r"was learned from before \(entry 5\)"):
        relearn(fresh, read_journal(folder).entries)
    assert 2 == relearn(fresh, read_journal(folder).entries, yes=True).lessons.performance.days


def test_a_new_departure_starts_a_log_to_learn_from(folder: Path) -> None:
    landed(folder)
    accept_and_note(folder, relearn(read_folder(folder), read_journal(folder).entries), at(3))
    log.start(folder, read_folder(folder), log.Moment(START + timedelta(days=25), yes=True))
    learned = relearn(read_folder(folder), read_journal(folder).entries, yes=True)
    assert 0 == learned.lessons.performance.days
    assert "" == learned.proposal.diff


def test_what_is_learned_goes_to_the_boats_folder_where_she_has_one(folder: Path) -> None:
    """The voyage's own files stay as they are, and the next voyage in her knows it."""
    landed(folder)
    parted = part(folder, folder.with_name("boat"))
    assert not (folder / "boat.toml").exists()
    before = (folder / "voyage.toml").read_text(encoding="utf-8")
    learned = relearn(read_folder(folder), read_journal(folder).entries)
    accept_and_note(folder, learned, at(3))
    assert not (folder / "boat.toml").exists()
    assert before == (folder / "voyage.toml").read_text(encoding="utf-8")
    assert "performance_mean" in (parted.boat / "boat.toml").read_text(encoding="utf-8")
    told = read_folder(folder).boat.helm.performance_mean_share
    assert told == pytest.approx(learned.lessons.performance.before.mean, abs=learned.lessons.performance.before.sd)
    assert told != learned.lessons.performance.before.mean
