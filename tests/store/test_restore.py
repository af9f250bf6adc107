"""A backup back in place, with what was there set aside."""

import sqlite3
import zipfile
from contextlib import closing
from pathlib import Path

import pytest

from shoptrack.errors import BadInput, Refused
from shoptrack.store import backup, pins
from shoptrack.store.db import Store, head, open_store
from shoptrack.store.lock import hold
from shoptrack.store.restore import restore
from shoptrack.store.shop import make_person
from shoptrack.store.tables import DeviceRow, MaterialRow
from tests.store.making import NOW


def materials(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as raw:
        return [name for (name,) in raw.execute("SELECT name FROM materials ORDER BY id")]


@pytest.fixture
def kept(store: Store, tmp_path: Path) -> Path:
    """A backup with ash in it and a photo; since then elm was added, the photo changed, a port set."""
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "knot.jpg").write_bytes(b"old")
    (tmp_path / "config.toml").write_text("port = 8751\n")
    with store.writing() as session:
        session.add(MaterialRow(name="ash"))
    file = backup.make(store.path, tmp_path, NOW)
    (tmp_path / "photos" / "knot.jpg").write_bytes(b"new")
    (tmp_path / "config.toml").write_text("port = 8752\n")
    with store.writing() as session:
        session.add(MaterialRow(name="elm"))
    return file


def test_the_shop_is_as_it_was_with_a_new_id(store: Store, url: str, tmp_path: Path, kept: Path) -> None:
    with store.reading() as session:
        before = head(session)
    store.close()
    aside = restore(kept, store.path, tmp_path, NOW)
    again = open_store(url, tmp_path)
    with again.reading() as session:
        after = head(session)
    again.close()
    assert materials(store.path) == ["ash"]
    assert after.database_id != before.database_id
    assert (tmp_path / "photos" / "knot.jpg").read_bytes() == b"old"
    assert (tmp_path / "config.toml").read_text() == "port = 8752\n"  # it belongs to this machine
    assert materials(aside / "shop.db") == ["ash", "elm"]
    assert (aside / "photos" / "knot.jpg").read_bytes() == b"new"
    assert restore(kept, store.path, tmp_path, NOW) != aside  # the same second is no clash


def test_what_a_dead_server_left_in_its_log_of_writes_is_set_aside_too(
    store: Store, tmp_path: Path, kept: Path
) -> None:
    """The server was killed, so its last write is only in the -wal file, which must not meet the new file."""
    for end in ("", "-wal"):
        (tmp_path / f"dead.db{end}").write_bytes((tmp_path / f"shop.db{end}").read_bytes())
    aside = restore(kept, tmp_path / "dead.db", tmp_path / "other", NOW)
    assert materials(tmp_path / "dead.db") == ["ash"]
    assert materials(aside / "dead.db") == ["ash", "elm"]


def test_on_a_new_machine_the_settings_come_along(tmp_path: Path, kept: Path) -> None:
    new = tmp_path / "new"
    restore(kept, new / "shop.db", new, NOW)
    assert materials(new / "shop.db") == ["ash"]
    assert (new / "config.toml").read_text() == "port = 8751\n"


def test_it_is_refused_while_the_shop_is_served(store: Store, tmp_path: Path, kept: Path) -> None:
    with hold(store.path, "serve"), pytest.raises(Refused, match="stop it first"):
        restore(kept, store.path, tmp_path, NOW)
    assert not list(tmp_path.glob("set-aside-*"))


def test_what_is_no_whole_backup_changes_nothing(store: Store, tmp_path: Path, kept: Path) -> None:
    torn, strange, empty = tmp_path / "torn.zip", tmp_path / "strange.zip", tmp_path / "empty.zip"
    torn.write_bytes(kept.read_bytes()[:5000])
    with zipfile.ZipFile(strange, "w") as bundle:
        bundle.writestr("shop.db", b"not a database, but long enough to be looked at" * 40)
    with zipfile.ZipFile(empty, "w") as bundle, closing(sqlite3.connect(tmp_path / "bare.db")) as raw:
        raw.execute("CREATE TABLE t (a)")
        bundle.write(tmp_path / "bare.db", "shop.db")
    before = store.path.read_bytes()
    for file in (torn, strange, empty, tmp_path / "nothing.zip"):
        with pytest.raises(BadInput):
            restore(file, store.path, tmp_path, NOW)
    assert store.path.read_bytes() == before
    assert not list(tmp_path.glob("set-aside-*"))
    assert not list(tmp_path.glob(".restoring-*"))


def keys(path: Path) -> tuple[list[str], list[str]]:
    """The names of the tablets let in and the PINs' hashes."""
    with closing(sqlite3.connect(path)) as raw:
        names = raw.execute("SELECT name FROM devices WHERE revoked_at IS NULL ORDER BY name")
        return [n for (n,) in names], [h for (h,) in raw.execute("SELECT hash FROM pins")]


def test_the_tablets_and_pins_of_today_stay(store: Store, tmp_path: Path) -> None:
    """Since the backup one tablet was sent away, another let in, and Ann changed her PIN."""
    with store.writing() as session:
        person = make_person(session, "Ann").id
        session.add(DeviceRow(name="old", kind="bench", key_hash="old", paired_at=NOW))
        pins.put(session, person, "aa" * 16, "first", NOW)
    file = backup.make(store.path, tmp_path, NOW)
    with store.writing() as session:
        session.get_one(DeviceRow, 1).revoked_at = NOW
        session.add(DeviceRow(name="new", kind="bench", key_hash="new", paired_at=NOW))
        pins.put(session, person, "bb" * 16, "second", NOW)
    store.close()
    aside = restore(file, store.path, tmp_path, NOW)
    assert keys(store.path) == (["new"], ["second"])
    assert keys(aside / "shop.db") == (["new"], ["second"])


def test_a_damaged_database_gives_no_keys_and_the_backup_comes_back(store: Store, tmp_path: Path) -> None:
    with store.writing() as session:
        person = make_person(session, "Ann").id
        pins.put(session, person, "aa" * 16, "first", NOW)
    file = backup.make(store.path, tmp_path, NOW)
    store.close()
    store.path.write_bytes(b"coffee" * 4096)
    aside = restore(file, store.path, tmp_path, NOW)
    assert keys(store.path) == ([], ["first"])
    assert (aside / "shop.db").read_bytes() == b"coffee" * 4096
