"""Everything taken out: exact, for other programs to read, and nothing that is secret."""

import csv
import io
import json
import sqlite3
import tracemalloc
import zipfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pandas as pd
import pytest

from shoptrack.errors import NotFound, Refused
from shoptrack.flows import take_out
from shoptrack.flows.take_out import (
    document_of_everything,
    list_csv,
    table_csv,
    write_everything,
    zip_of_everything,
)
from shoptrack.store.everything import LEFT_OUT, Beside, tables
from shoptrack.store.migrate import head_revision
from shoptrack.store.tables import CustomerRow, DeviceRow, EditRow, FeedRow, MaterialPriceRow, PinRow
from shoptrack.store.tools import make_material
from tests.joinery import LONG_AGO, NOW, UNA, BusyDay, Joinery

NASTY = '=HYPERLINK("http://x.test";"🪵")\r\nsecond, line'


@pytest.fixture
def secrets(joinery: Joinery) -> Joinery:
    """The small shop with a PIN, a tablet, a calendar address, and an edit that speaks of a PIN."""
    with joinery.store.writing() as session:
        session.add(PinRow(person_id=UNA, salt="SECRET-1", hash="SECRET-2", set_at=NOW))
        session.add(DeviceRow(name="bench", kind="bench", key_hash="SECRET-3", paired_at=NOW))
        session.add(FeedRow(id=1, token="SECRET-4", made_at=NOW))
        session.add(
            EditRow(at=NOW, table_name="pins", row_id=1, field="hash", before="SECRET-5", after="SECRET-6")
        )
        session.add(CustomerRow(name=NASTY, notes="plain"))
    return joinery


def whole(pieces: Iterator[bytes]) -> bytes:
    return b"".join(pieces)


def opened(joinery: Joinery, *, photos: bool = False) -> zipfile.ZipFile:
    return zipfile.ZipFile(io.BytesIO(whole(zip_of_everything(joinery.store, NOW, photos=photos))))


def test_the_document_has_every_row_of_every_table_taken_out(secrets: Joinery, day: BusyDay) -> None:
    said = json.loads(whole(document_of_everything(secrets.store, NOW)))
    assert (said["shoptrack"], said["tables_at"]) == (1, head_revision())
    assert said["made_at"] == "2026-11-25T18:24:00Z"
    assert set(said["tables"]) == {table.name for table in tables()}
    with closing(sqlite3.connect(secrets.store.path)) as raw:
        for name, table in said["tables"].items():
            kept = raw.execute(f'SELECT count(*) FROM "{name}"').fetchone()[0]
            assert len(table["rows"]) == kept - (name == "edits"), name
    customers = said["tables"]["customers"]
    assert NASTY in [dict(zip(customers["columns"], row, strict=True))["name"] for row in customers["rows"]]


def test_nothing_secret_is_in_it(secrets: Joinery) -> None:
    assert {"head", "devices", "pairings", "pins", "feed"} == LEFT_OUT
    with opened(secrets, photos=True) as bundle:
        names = bundle.namelist()
        assert not [name for name in names if b"SECRET" in bundle.read(name)]
        assert not [name for name in names if name.removesuffix(".csv").rpartition("/")[2] in LEFT_OUT]
    assert b"SECRET" not in whole(document_of_everything(secrets.store, NOW))
    for name in LEFT_OUT:
        with pytest.raises(NotFound):
            whole(table_csv(secrets.store, name))


def test_the_zip_is_whole_and_has_a_file_a_table(secrets: Joinery) -> None:
    with opened(secrets) as bundle:
        assert bundle.testzip() is None
        names = set(bundle.namelist())
        assert bundle.getinfo("shop.json").date_time == (2026, 11, 25, 18, 24, 0)
    assert {
        "shop.json",
        "README.txt",
        "lists/times.csv",
        "lists/customers.csv",
        "lists/materials.csv",
    } <= names
    assert {f"tables/{table.name}.csv" for table in tables()} <= names


def test_photos_come_along_where_they_are_asked_for(joinery: Joinery) -> None:
    folder = joinery.store.instance / "photos" / "small"
    folder.mkdir(parents=True)
    (folder / "1.jpg").write_bytes(b"small")
    (folder.parent / "1.jpg").write_bytes(b"x" * 200_000)
    (folder.parent / ".2.jpg.part").write_bytes(b"half")
    with opened(joinery, photos=True) as bundle:
        assert bundle.read("photos/1.jpg") == b"x" * 200_000
        assert bundle.read("photos/small/1.jpg") == b"small"
        assert len([name for name in bundle.namelist() if name.startswith("photos")]) == 2
    with opened(joinery) as bundle:
        assert not [name for name in bundle.namelist() if name.startswith("photos")]


def test_a_large_shop_is_taken_out_in_bounded_memory(joinery: Joinery) -> None:
    """Eight megabytes of text, three times over; never more than a few of them are in memory."""
    with joinery.store.writing() as session:
        session.add_all(CustomerRow(name=f"{n}", notes=f"{n}" * 1000) for n in range(1000, 3000))
        session.flush()
        session.expunge_all()
    tracemalloc.start()
    try:
        sizes = [len(piece) for piece in zip_of_everything(joinery.store, NOW, photos=False)]
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert len(sizes) > 200
    assert max(sizes) < 100_000
    assert most < 8_000_000


def test_a_list_is_read_by_another_program(secrets: Joinery) -> None:
    """Customers with formulas, quotes, emoji and line breaks, by pandas; then in another dialect."""
    out = whole(list_csv(secrets.store, "customers", NOW))
    read = pd.read_csv(io.BytesIO(out), keep_default_na=False)
    assert list(read.columns) == ["name", "contact", "email", "phone", "address", "notes"]
    assert read.iloc[-1]["name"] == "'" + NASTY
    other = io.StringIO(newline="")
    read.to_csv(other, sep=";", quoting=csv.QUOTE_ALL, index=False)
    lines = list(csv.DictReader(io.StringIO(other.getvalue(), newline=""), delimiter=";"))
    assert lines[-1]["name"] == "'" + NASTY
    assert lines[-1]["notes"] == "plain"


def test_times_are_numbers_and_days_to_another_program(joinery: Joinery, day: BusyDay) -> None:
    out = whole(list_csv(joinery.store, "times", NOW))
    read = pd.read_csv(io.BytesIO(out), parse_dates=["finished_on"])
    assert tuple(read.columns) == take_out.LISTS["times"].columns
    assert len(read) > 2
    assert str(read["finished_on"].dtype).startswith("datetime64")
    assert read["minutes"].dtype.kind == "f"
    assert read["measure"].dtype.kind in "if"
    milling = read[read["job"] == "six trays, elm"].iloc[0]
    assert (milling["kind"], milling["unit"], milling["measure"]) == ("milling", "boards", 12)
    assert milling["person"] == "Una"
    assert milling["finished_on"].date().isoformat() == "2026-11-25"


def test_materials_have_todays_price(joinery: Joinery) -> None:
    with joinery.store.writing() as session:
        elm = make_material(session, "elm", wear=1.2, from_at=LONG_AGO)
        session.add(MaterialPriceRow(material_id=elm.id, from_on=LONG_AGO.date(), cents=125050))
        make_material(session, "old pine", wear=1, from_at=LONG_AGO).retired_at = NOW
    out = whole(list_csv(joinery.store, "materials", NOW)).decode("utf-8-sig")
    assert out == "material,unit,price,wear\r\nelm,,1250.50,1.2\r\n"


@pytest.mark.parametrize("name", ["", "shop.json", "people.csv", "nothing"])
def test_what_there_is_not_is_not_found(joinery: Joinery, name: str) -> None:
    with pytest.raises(NotFound):
        next(table_csv(joinery.store, name))
    with pytest.raises(NotFound):
        next(list_csv(joinery.store, name, NOW))


def test_a_table_alone(joinery: Joinery) -> None:
    lines = whole(table_csv(joinery.store, "people")).decode("utf-8-sig").splitlines()
    assert lines[:2] == ["id,name,position,retired_at", "1,Una,1,"]


def test_a_file_is_written_whole_or_not_at_all(
    joinery: Joinery, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Read beside the program that serves the shop; a full disk leaves no half file."""
    beside = Beside(joinery.store.path, joinery.store.instance)
    write_everything(beside, tmp_path / "all.zip", NOW, photos=False)
    with zipfile.ZipFile(tmp_path / "all.zip") as bundle:
        document = bundle.read("shop.json")
    write_everything(beside, tmp_path / "all.json", NOW, photos=False)
    assert (tmp_path / "all.json").read_bytes() == document
    with pytest.raises(Refused, match="is there already"):
        write_everything(beside, tmp_path / "all.json", NOW, photos=False)
    with pytest.raises(Refused, match="can’t be written"):
        write_everything(beside, tmp_path / "none" / "all.json", NOW, photos=False)

    def full(*_: object) -> Iterator[bytes]:
        yield b"half"
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(take_out, "document_of_everything", full)
    with pytest.raises(Refused, match="No space left"):
        write_everything(beside, tmp_path / "half.json", NOW, photos=False)
    assert not list(tmp_path.glob("*half*"))
