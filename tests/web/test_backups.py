"""Backups by the screens: one is made, an older one is put in place while the shop is being worked in."""

import threading
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import func, select, text

from shoptrack.store import backup
from shoptrack.store.db import head
from shoptrack.store.migrate import head_revision
from shoptrack.store.tables import DeviceRow, EntryRow, JobRow
from tests.joinery import NOW, Joinery
from tests.web.conftest import ORIGIN


@pytest.fixture(autouse=True)
def stamped(joinery: Joinery) -> None:
    """The small shop's tables were made without migrations; a backup must say which tables it has."""
    with joinery.store.writing() as session:
        session.execute(text("CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL)"))
        session.execute(text("INSERT INTO alembic_version VALUES (:at)"), {"at": head_revision()})


def made_backup(office: FlaskClient) -> str:
    """Press the button; the name of the file that it made."""
    assert office.post("/backups", headers=ORIGIN).status_code == 303
    return next(
        word.partition('"')[0]
        for word in office.get("/backups").text.split('href="/backups/')[1:]
        if word.startswith("shop-")
    )


def test_a_backup_is_made_and_listed(office: FlaskClient, tmp_path: Path) -> None:
    assert "There is none yet." in office.get("/backups").text
    name = made_backup(office)
    assert [one.file.name for one in backup.list_good(tmp_path / "backups")] == [name]
    assert "The last good one is of 13:24" in office.get("/backups").text


def test_an_older_one_is_put_in_place_only_when_it_is_meant(joinery: Joinery, office: FlaskClient) -> None:
    """A job is added after the backup; the restore takes it away, sets it aside, and renews the id."""
    name = made_backup(office)
    joinery.add("tray", "a tray too many", None)
    with joinery.store.reading() as session:
        before, jobs = head(session), session.scalar(select(func.count()).select_from(JobRow))
    assert office.post(f"/backups/{name}", headers=ORIGIN).status_code == 400
    page = office.get(f"/backups/{name}").text
    assert "No tap was made since then." in page
    answer = office.post(f"/backups/{name}", data={"sure": "yes"}, headers=ORIGIN)
    assert answer.status_code == 303
    with joinery.store.reading() as session:
        after, left = head(session), session.scalar(select(func.count()).select_from(JobRow))
    assert (jobs, left) == (1, 0)
    assert after.database_id != before.database_id
    assert "lies in the folder set-aside-" in office.get(answer.location).text
    assert office.get("/").status_code == 200


def test_a_tablet_sent_away_does_not_come_back_with_a_backup(joinery: Joinery, office: FlaskClient) -> None:
    """The tablet was paired when the backup was made, and revoked since."""
    with joinery.store.writing() as session:
        session.add(DeviceRow(name="saw tablet", kind="bench", key_hash="x", paired_at=NOW))
    name = made_backup(office)
    with joinery.store.writing() as session:
        session.get_one(DeviceRow, 1).revoked_at = NOW
    office.post(f"/backups/{name}", data={"sure": "yes"}, headers=ORIGIN)
    with joinery.store.reading() as session:
        assert session.get_one(DeviceRow, 1).revoked_at == NOW


def test_names_that_are_no_backup_are_not_found(office: FlaskClient, tmp_path: Path) -> None:
    (tmp_path / "secret.zip").write_bytes(b"x")
    for name in ("secret.zip", "..%2Fsecret.zip", "shop-20260101T000000Z.zip"):
        assert office.get(f"/backups/{name}").status_code == 404
        assert office.post(f"/backups/{name}", data={"sure": "yes"}, headers=ORIGIN).status_code == 404


def test_a_torn_backup_changes_nothing(joinery: Joinery, office: FlaskClient, tmp_path: Path) -> None:
    name = made_backup(office)
    file = tmp_path / "backups" / name
    file.write_bytes(file.read_bytes()[:-2000])
    with joinery.store.reading() as session:
        before = head(session)
    answer = office.post(f"/backups/{name}", data={"sure": "yes"}, headers=ORIGIN)
    assert answer.status_code == 400
    with joinery.store.reading() as session:
        assert head(session) == before


def test_a_restore_under_load(joinery: Joinery, bare_app: Flask, office: FlaskClient) -> None:
    """Two tablets tap and one reads the Floor while a backup is put in place, three times.

    Nobody sees a broken page; every tap acknowledged after the last restore is in the log, once, and the
    database is whole.
    """
    stages = joinery.add("tray", "trays", None)
    stage = next(id for name, id in stages.items() if name != "job")
    name = made_backup(office)
    stop, wrong = threading.Event(), list[object]()
    acknowledged: list[tuple[str, str]] = []

    def tap(device: str) -> None:
        client, seq = bare_app.test_client(), 0
        while not stop.is_set():
            seq += 1
            when = NOW.isoformat()
            entry = {"id": f"{device}-{seq:06d}", "seq": seq, "kind": "note", "at": when, "stages": [stage]}
            sent = {"device": device, "sent_at": when, "entries": [{**entry, "text": "x", "person": 1}]}
            answer = client.post("/api/entries", json=sent, headers=ORIGIN)
            if answer.status_code != 200 or answer.json["answers"][0]["status"] != "done":
                wrong.append(answer.text)
                return
            acknowledged.append((answer.json["database_id"], entry["id"]))

    def look() -> None:
        client = bare_app.test_client()
        while not stop.is_set():
            if client.get("/").status_code != 200:
                wrong.append("the Floor broke")

    threads = [threading.Thread(target=tap, args=(f"tablet-{n}",)) for n in (1, 2)]
    threads.append(threading.Thread(target=look))
    for thread in threads:
        thread.start()
    for _ in range(3):
        assert office.post(f"/backups/{name}", data={"sure": "yes"}, headers=ORIGIN).status_code == 303
    stop.set()
    for thread in threads:
        thread.join()
    assert wrong == []
    with joinery.store.reading() as session:
        last = head(session).database_id
        logged = set(session.scalars(select(EntryRow.id)))
    kept = [id for database, id in acknowledged if database == last]
    assert set(kept) <= logged
    assert len(kept) == len(set(kept))
    assert backup.fault_in(joinery.store.path) == ""
