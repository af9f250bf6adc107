"""What a quote promised: kept once, read back as it was, also by other versions; damage is said."""

import zlib
from dataclasses import replace
from io import BytesIO
from pathlib import Path

import pytest
from sqlalchemy import delete, select

from shoptrack.errors import NotFound, Refused
from shoptrack.flows.bring_in_everything import bring_shop
from shoptrack.flows.take_out import document_of_everything
from shoptrack.store import promises
from shoptrack.store.db import Head
from shoptrack.store.promises import Promised, keep, of_revision, result_of
from shoptrack.store.tables import PromiseRow, QuoteRevisionRow, ShopRow
from tests.flows.quoting.shop import ad_hoc, out, price_all
from tests.joinery import NOW, Joinery, kept

FOUND = {"by": "2026-12-11", "chance": 0.8, "days": [["2026-12-04", 0.41], ["2026-12-11", 0.8]]}


@pytest.fixture
def promised(joinery: Joinery) -> Promised:
    price_all(joinery)
    quote = out(joinery, ad_hoc(joinery), "q" * 32)
    with joinery.store.reading() as session:
        revision = session.scalars(select(QuoteRevisionRow.id).filter_by(quote_id=quote)).one()
    head = Head("joinery", 41)
    problem = bytes(range(256)) * 40
    return Promised(
        revision, NOW, 2**40 + 7, 2000, "shoptrack 0.5, numpy 2.1", head, FOUND, (2, 0, 1), problem
    )


def test_it_is_read_back_as_it_was_kept(joinery: Joinery, promised: Promised) -> None:
    with joinery.store.writing() as session:
        assert of_revision(session, promised.revision) is None
        assert result_of(session, promised.revision) is None
        assert keep(session, promised) == promised
    with joinery.store.reading() as session:
        assert of_revision(session, promised.revision) == promised
        assert result_of(session, promised.revision) == FOUND
        packed = session.scalars(select(PromiseRow.snapshot)).one()
    assert len(packed) < len(promised.snapshot) / 10


def test_what_was_shown_first_stands(joinery: Joinery, promised: Promised) -> None:
    """Another version reckons another chance; the quote was given with the first."""
    with joinery.store.writing() as session:
        keep(session, promised)
        later = replace(promised, versions="shoptrack 0.6", result={"chance": 0.5})
        assert keep(session, later) == promised
        with pytest.raises(NotFound):
            keep(session, replace(promised, revision=999))
        assert len(session.scalars(select(PromiseRow)).all()) == 1


@pytest.mark.parametrize("broken", [b"", b"no zlib", zlib.compress(b"x" * 999)[:-3]])
def test_a_damaged_snapshot_is_said_and_its_result_stands(
    joinery: Joinery, promised: Promised, broken: bytes
) -> None:
    with joinery.store.writing() as session:
        keep(session, promised)
        session.scalars(select(PromiseRow)).one().snapshot = broken
        session.flush()
        with pytest.raises(Refused, match="damaged"):
            of_revision(session, promised.revision)
        assert result_of(session, promised.revision) == FOUND


def test_a_snapshot_that_grows_without_end_is_not_unpacked(
    joinery: Joinery, promised: Promised, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(promises, "MOST_BYTES", 5_000)
    with joinery.store.writing() as session:
        keep(session, promised)
        with pytest.raises(Refused, match="damaged"):
            of_revision(session, promised.revision)


def test_it_is_taken_out_and_brought_back_with_all_the_rest(
    joinery: Joinery, promised: Promised, tmp_path: Path
) -> None:
    with joinery.store.writing() as session:
        keep(session, promised)
    document = b"".join(document_of_everything(joinery.store, NOW))
    (tmp_path / "other").mkdir()
    other = kept("bare").put(tmp_path / "other")
    with other.writing() as session:
        session.execute(delete(ShopRow))
    bring_shop(other, BytesIO(document))
    with other.reading() as session:
        assert of_revision(session, promised.revision) == promised
    other.close()
