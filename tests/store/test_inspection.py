"""An instance looked at from outside."""

from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import insert

from shoptrack.store import backup, inspection
from shoptrack.store.db import Store
from shoptrack.store.tables import TallyRow, WorkedRow
from tests.store.making import NOW, furnish, order


def wrong(url: str, instance: Path) -> dict[str, str]:
    return {found.name: found.words for found in inspection.look(url, instance, NOW) if found.wrong}


def test_all_is_well_while_it_is_served(store: Store, url: str, tmp_path: Path) -> None:
    file = backup.make(store.path, tmp_path, NOW)
    found = {one.name: one.words for one in inspection.look(url, tmp_path, NOW)}
    assert wrong(url, tmp_path) == {}
    assert found["integrity"] == "whole"
    assert found["revision"] == "1"
    assert found["last backup"].endswith(file.name)
    assert found["replay check"] == "the tally agrees with the log"


def test_a_stray_tally_row_is_wrong(store: Store, url: str, tmp_path: Path) -> None:
    with store.writing() as session:
        _, stages = order(session, furnish(session))
        numbers = dict.fromkeys(("quantity", "attended_min", "elapsed_min", "machine_min", "mend_min"), 1.0)
        row = {"stage_id": stages[0], "redo": 0, "standing": "done", "teaches": False, "mend_cents": 0}
        session.execute(insert(TallyRow).values(**row, **numbers))
    assert wrong(url, tmp_path) == {
        "replay check": f"Stage {stages[0]} has a row that the log knows nothing of."
    }


def test_hours_of_a_tool_that_the_log_does_not_tell_are_wrong(store: Store, url: str, tmp_path: Path) -> None:
    """Nobody was at the milling, and a row says that its bit ran for an hour."""
    with store.writing() as session:
        _, stages = order(session, furnish(session))
        row = {"stage_id": stages[0], "redo": 0, "place": 0, "start_at": NOW, "minutes": 60.0}
        session.execute(insert(WorkedRow).values(**row, end_at=NOW + timedelta(hours=1)))
    assert wrong(url, tmp_path) == {
        "replay check": f"Stage {stages[0]}: when its tools were at work is not as the log says it."
    }


def test_no_database_no_space_and_a_failed_backup_are_wrong(
    url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "shoptrack migrate" in wrong(url, tmp_path)["database"]
    assert not (tmp_path / "shop.db").exists()
    (tmp_path / "shop.db").touch()
    backup.note_failure(tmp_path, NOW - timedelta(days=1), "the disk is full")
    monkeypatch.setattr(inspection, "LEAST_FREE_BYTES", 1 << 62)
    found = wrong(url, tmp_path)
    assert set(found) == {"tables", "free space", "backup failed"}
    assert found["backup failed"] == "2026-03-01T09:00:00+00:00 the disk is full"


@pytest.mark.parametrize(
    ("version", "has_note"), [((3, 40, 1), True), ((3, 51, 2), True), ((3, 51, 3), False), ((4, 0, 0), False)]
)
def test_the_version_of_sqlite_is_told_with_its_fault(version: tuple[int, ...], has_note: bool) -> None:
    assert ("can damage" in inspection.sqlite_words(version)) == has_note
