"""A whole shop taken out and put into an empty database: the same rows, or nothing at all."""

import hashlib
import io
import sqlite3
import zipfile
from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import delete, text
from sqlalchemy.exc import IntegrityError

from shoptrack.errors import BadInput, Refused
from shoptrack.flows.bring_in_everything import NOT_EMPTY, bring_shop, bring_shop_file
from shoptrack.flows.rebuild import rebuild_tally
from shoptrack.flows.take_out import document_of_everything, zip_of_everything
from shoptrack.store import everything
from shoptrack.store.db import Store, head, open_store
from shoptrack.store.inspection import replay_check
from shoptrack.store.tables import (
    CustomerRow,
    MonthRow,
    PhotoRow,
    ProgramRow,
    ProgramToolRow,
    RouterRow,
    RouterToolRow,
    ShopRow,
    StageToolRow,
)
from shoptrack.store.tools import make_edge, make_tool
from tests.joinery import NOW, BusyDay, Joinery, kept

NASTY = '=1+1 "quoted"\r\n🪵\u2028\x0b\x7f\U0001f9f0'
TEXT = st.text(st.characters(exclude_categories=("Cs",)), max_size=30)


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Store]:
    """A database with its tables, its head and nothing else."""
    folder = tmp_path / "empty"
    folder.mkdir()
    store = kept("bare").put(folder)
    with store.writing() as session:
        session.execute(delete(ShopRow))
    yield store
    store.close()


@pytest.fixture
def full(joinery: Joinery, day: BusyDay) -> Store:
    return with_tools(joinery, day, furnish(joinery.store))


def with_tools(joinery: Joinery, day: BusyDay, store: Store) -> Store:
    """A bit with two edges, of which the log tells; its hours; and a machine program that a stage has."""
    carving = day.elm["carving the well"]
    with store.writing() as session:
        bit = make_tool(session, "spiral bit", kind="router bit").id
        red = make_edge(session, bit, "red", NOW).id
        make_edge(session, bit, NASTY, NOW)
        session.add_all(
            StageToolRow(stage_id=s, tool_id=bit, share=0.5) for s in (day.elm["milling"], carving)
        )
        session.add(RouterRow(station_id=1, rapid_mm_min=6000, tool_change_s=40))
        session.add(RouterToolRow(station_id=1, number=3, label=NASTY, tool_id=bit))
        size = {"size": 12, "total_min": 2.5, "cutting_min": 2.0, "reader": "1"}
        read = {"found": {"warnings": [NASTY]}, "path": [[0, 0.5]], "fingerprint": "ab", "added_at": NOW}
        program = ProgramRow(stage_id=carving, name="well.nc", **size, **read)
        session.add(program)
        session.flush()
        session.add(ProgramToolRow(program_id=program.id, number=3, tool_id=bit, cutting_min=2, cutting_mm=9))
    joinery.tap("edge", NOW, tool=bit, edge=red, choice="fitted")
    with store.writing() as session:
        rebuild_tally(session, NOW)
    return store


def furnish(store: Store) -> Store:
    """Add to the busy day a photo, a closed month and text that is hard to carry."""
    photos = store.instance / "photos"
    (photos / "small").mkdir(parents=True)
    (photos / "1.jpg").write_bytes(b"a picture")
    (photos / "small" / "1.jpg").write_bytes(b"pic")
    with store.writing() as session:
        session.add(CustomerRow(name=NASTY, notes="'=not a formula", email=""))
        figures = {"earned": 1.5, "words": NASTY, "none": None, "deep": [1, [True]]}
        session.add(MonthRow(first_on=NOW.date(), closed_at=NOW, figures=figures))
        print_ = hashlib.sha256(b"a picture").hexdigest()
        session.add(PhotoRow(width_px=1, height_px=1, size_bytes=9, sha256=print_, added_at=NOW, words="🪵"))
    return store


def rows(store: Store) -> dict[str, list[tuple[Any, ...]]]:
    """Every row that is taken out, as SQLite itself keeps it."""
    with closing(sqlite3.connect(store.path)) as raw:
        return {
            t.name: sorted(raw.execute(f'SELECT * FROM "{t.name}"').fetchall(), key=repr)
            for t in everything.tables()
        }


def zipped(store: Store, *, photos: bool = True) -> bytes:
    return b"".join(zip_of_everything(store, NOW, photos=photos))


def document(store: Store) -> bytes:
    return b"".join(document_of_everything(store, NOW))


@pytest.mark.parametrize("taken_out", [zipped, document])
def test_the_same_rows_table_by_table(full: Store, empty: Store, taken_out: Callable[[Store], bytes]) -> None:
    """Ids, texts, numbers and instants, held row against row; the tally still agrees with the log."""
    with empty.reading() as session:
        before = head(session)
    found = bring_shop(empty, io.BytesIO(taken_out(full)))
    wanted = rows(full)
    assert all(wanted[name] for name in ("edge_kinds", "edges", "worked", "routers", "programs"))
    assert rows(empty) == wanted
    assert found.rows == sum(map(len, wanted.values()))
    assert sum(bool(table) for table in wanted.values()) > 20
    with empty.reading() as session, full.reading() as other:
        after = head(session)
        assert after.database_id not in (before.database_id, head(other).database_id)
        assert replay_check(session, NOW + timedelta(hours=1)) == []
    assert document(empty) == document(full)


def test_photos_come_along(full: Store, empty: Store) -> None:
    assert bring_shop(empty, io.BytesIO(zipped(full))).photos == 1
    assert (empty.instance / "photos" / "1.jpg").read_bytes() == b"a picture"
    assert (empty.instance / "photos" / "small" / "1.jpg").read_bytes() == b"pic"
    assert not list(empty.instance.glob(".bringing-*"))


def test_the_log_can_not_be_changed_afterwards_and_keys_hold(full: Store, empty: Store) -> None:
    bring_shop(empty, io.BytesIO(document(full)))
    for statement in ("UPDATE entries SET kind = 'note'", "DELETE FROM entry_stages"):
        with pytest.raises(IntegrityError, match="never changed"), empty.writing() as session:
            session.execute(text(statement))
    with closing(sqlite3.connect(empty.path)) as raw:
        assert raw.execute("PRAGMA foreign_key_check").fetchall() == []
        assert raw.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


def test_only_into_an_empty_database(full: Store, empty: Store) -> None:
    data = document(full)
    with pytest.raises(Refused, match="There is a shop in this database already"):
        bring_shop(full, io.BytesIO(data))
    bring_shop(empty, io.BytesIO(data))
    before = rows(empty)
    with pytest.raises(Refused) as refused:
        bring_shop(empty, io.BytesIO(data))
    assert str(refused.value) == NOT_EMPTY
    assert rows(empty) == before


def test_photos_nobody_speaks_of_and_strange_names_stay_out(full: Store, empty: Store) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as bundle:
        bundle.writestr("shop.json", document(full))
        for name in (
            "photos/99.jpg",
            "photos/../../evil.jpg",
            "../evil.jpg",
            "photos/x.jpg",
            "/photos/1.jpg",
        ):
            bundle.writestr(name, b"a picture")
    assert bring_shop(empty, io.BytesIO(out.getvalue())).photos == 0
    assert not list(empty.instance.parent.rglob("evil.jpg"))
    assert not list((empty.instance / "photos").rglob("*.jpg"))


def test_a_photo_that_can_not_be_put_down_leaves_nothing(full: Store, empty: Store) -> None:
    """A file stands where the folder of photos should be."""
    (empty.instance / "photos").write_bytes(b"")
    with pytest.raises(BadInput):
        bring_shop(empty, io.BytesIO(zipped(full)))
    with empty.reading() as session:
        assert everything.is_empty(session)


def test_a_file_by_its_name(full: Store, empty: Store, tmp_path: Path) -> None:
    (tmp_path / "all.zip").write_bytes(zipped(full))
    for name in ("nothing.zip", "."):
        with pytest.raises(BadInput, match="There is no file"):
            bring_shop_file(empty, tmp_path / name)
    assert bring_shop_file(empty, tmp_path / "all.zip").tables == len(everything.tables())


@settings(max_examples=8, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(TEXT, TEXT, TEXT), min_size=1, max_size=4))
def test_any_text_in_any_field_comes_back(tmp_path: Path, texts: list[tuple[str, str, str]]) -> None:
    """Text of every kind in rows and in what is kept as JSON, even a nought byte."""
    shops = []
    for name in ("one", "two"):
        folder = tmp_path / name
        folder.mkdir(exist_ok=True)
        store = kept("bare").put(folder)
        with store.writing() as session:
            session.execute(delete(ShopRow))
        shops.append(store)
    one, two = shops
    with one.writing() as session:
        session.add_all(CustomerRow(name=a, address=b, notes=c) for a, b, c in texts)
        session.add(MonthRow(first_on=NOW.date(), closed_at=NOW, figures={"words": [list(t) for t in texts]}))
    bring_shop(two, io.BytesIO(document(one)))
    assert rows(two) == rows(one)
    one.close()
    two.close()


def test_an_empty_shop_opens(full: Store, empty: Store) -> None:
    """The database that was put back is opened by the program like any other."""
    bring_shop(empty, io.BytesIO(zipped(full)))
    empty.close()
    again = open_store(f"sqlite:///{empty.path}", empty.instance)
    with again.reading() as session:
        assert session.get(ShopRow, 1) is not None
    again.close()
