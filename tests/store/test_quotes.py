"""Quotes: the list with where each stands, found by words, of a job, and taken out with all the rest."""

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from io import BytesIO
from pathlib import Path

import pytest
from sqlalchemy import delete
from sqlalchemy.exc import IntegrityError

from shoptrack.errors import NotFound
from shoptrack.flows.bring_in_everything import bring_shop
from shoptrack.flows.quoting import answers, drafts
from shoptrack.flows.quoting.kept import kept_of
from shoptrack.flows.take_out import document_of_everything
from shoptrack.store import quotes
from shoptrack.store.db import Store
from shoptrack.store.histories import changes_of
from shoptrack.store.jobs import job_row
from shoptrack.store.tables import QuoteRow, ShopRow
from tests.flows.quoting.shop import ad_hoc, made, out, price_all, tray
from tests.joinery import NOW, UNA, Joinery, kept

TODAY = date(2026, 11, 25)


@pytest.fixture
def wood(joinery: Joinery) -> int:
    return price_all(joinery)


@pytest.fixture
def five(joinery: Joinery, wood: int) -> dict[str, int]:
    """One quote of each standing, the draft made last."""
    plain = ad_hoc(joinery)
    found = {}
    for n, (standing, title) in enumerate(
        (("taken", "Élan desk"), ("turned down", "hat rack"), ("lapsed", "old shelf"), ("out", "trays"))
    ):
        found[standing] = out(joinery, replace(plain, title=title), f"{n:032}")
    answers.take(joinery.store, found["taken"], 1, UNA, NOW)
    answers.turn_down(joinery.store, found["turned down"], 1, "too dear", UNA, NOW)
    answers.put_out(
        joinery.store, found["lapsed"], 1, UNA, NOW - timedelta(days=9), TODAY - timedelta(days=1)
    )
    found["draft"] = made(joinery, tray(joinery, wood, title="new trays"), "d" * 32)
    return found


def listed(joinery: Joinery, **asked: object) -> list[str]:
    with joinery.store.reading() as session:
        return [line.title for line in quotes.list_quotes(session, TODAY, **asked)]  # type: ignore[arg-type]


def test_each_stands_somewhere_and_the_newest_comes_first(joinery: Joinery, five: dict[str, int]) -> None:
    assert listed(joinery) == ["new trays", "trays", "old shelf", "hat rack", "Élan desk"]
    for standing, quote in five.items():
        with joinery.store.reading() as session:
            (line,) = quotes.list_quotes(session, TODAY, standing)  # type: ignore[arg-type]
            assert (line.id, line.standing) == (quote, standing)
            assert quotes.quote_line(session, quotes.quote_row(session, quote), TODAY) == line
    with joinery.store.reading() as session:
        assert quotes.count_quotes(session, TODAY) == dict.fromkeys(quotes.STANDINGS, 1)


def test_words_are_found_in_title_and_customer_in_any_case(joinery: Joinery, five: dict[str, int]) -> None:
    assert listed(joinery, words="TRAYS") == ["new trays", "trays"]
    assert listed(joinery, words="élan") == ["Élan desk"]
    assert listed(joinery, words="plas rack") == ["hat rack"]
    assert listed(joinery, words="trays odile") == ["new trays"]
    assert listed(joinery, words="trays", standing="draft") == ["new trays"]
    assert listed(joinery, words=f"{five['lapsed']}") == ["old shelf"]
    for nothing in ("%", "_", "tray'; --", "🪵"):
        assert listed(joinery, words=nothing) == []


def test_pages_of_the_list_follow_each_other(joinery: Joinery, five: dict[str, int]) -> None:
    for words in ("", "a"):
        whole = listed(joinery, words=words)
        first, rest = listed(joinery, words=words, limit=2), listed(joinery, words=words, limit=9, offset=2)
        assert [*first, *rest] == whole


def test_a_line_says_its_newest_revision_its_pattern_and_its_job(
    joinery: Joinery, five: dict[str, int], wood: int
) -> None:
    drafts.revise(joinery.store, five["draft"], 1, tray(joinery, wood, pieces=7), UNA, NOW)
    with joinery.store.reading() as session:
        lines = {line.id: line for line in quotes.list_quotes(session, TODAY)}
        new, taken = lines[five["draft"]], lines[five["taken"]]
        row = quotes.quote_row(session, five["draft"])
        assert (new.number, new.pieces, new.pattern, new.customer) == (2, 7, "tray", "Odile Marr")
        assert new.price_cents == row.revisions[1].price_cents != row.revisions[0].price_cents
        assert (taken.pattern, bool(taken.job_tag)) == ("", True)
        found = quotes.quote_of_job(session, taken.job_id or 0)
        assert found is not None
        assert found.id == five["taken"]
        assert quotes.quote_of_job(session, 999) is None
        assert [r.id for r in quotes.quotes_of_jobs(session, 5)] == [five["taken"]]


def test_the_history_says_what_became_of_it(joinery: Joinery, five: dict[str, int]) -> None:
    """By its title, and once it is a job by that job's tag."""
    with joinery.store.reading() as session:
        draft, taken = (quotes.quote_row(session, five[which]) for which in ("draft", "taken"))
        assert [(c.name, c.field) for c in changes_of(session, draft)] == [("new trays", "made")]
        found = [(c.field, c.before, c.after) for c in reversed(changes_of(session, taken))]
        tag = job_row(session, taken.job_id or 0).tag
        assert {c.name for c in changes_of(session, taken)} == {f"{tag} quote"}
    assert [line for line in found if line[0] in ("made", "put out", "standing", "job_id")] == [
        ("made", None, True),
        ("put out", None, 1),
        ("standing", "draft", "out"),
        ("standing", "out", "taken"),
        ("job_id", None, tag),
    ]


def test_no_such_quote(joinery: Joinery) -> None:
    with joinery.store.reading() as session:
        for number in (0, -1, 7, 2**64):
            with pytest.raises(NotFound):
                quotes.quote_row(session, number)


def test_the_last_of_a_pattern_is_the_newest_revision_of_the_newest_quote(
    joinery: Joinery, five: dict[str, int], wood: int
) -> None:
    drafts.revise(joinery.store, five["draft"], 1, tray(joinery, wood, pieces=7), UNA, NOW)
    with joinery.store.reading() as session:
        found = quotes.newest_of_pattern(session, 1)
        assert found is not None
        assert (found.quote_id, found.number) == (five["draft"], 2)
        assert quotes.newest_of_pattern(session, 2) is None


def test_a_material_has_the_price_that_was_in_force(joinery: Joinery, wood: int) -> None:
    with joinery.store.reading() as session:
        now = quotes.material_price(session, wood, TODAY)
        assert now == quotes.Price("cherry", "board feet", 1150, date(2026, 3, 2))
        early = quotes.material_price(session, wood, date(2026, 3, 1))
        assert early == quotes.Price("cherry", "board feet", None, None)
        assert quotes.material_price(session, 99, TODAY) is None


@pytest.mark.parametrize("twice", ["form_id", "job_id"])
def test_one_form_one_quote_and_one_job_one_quote(joinery: Joinery, five: dict[str, int], twice: str) -> None:
    """The table itself refuses a second."""
    with joinery.store.reading() as session:
        taken = quotes.quote_row(session, five["taken"])
    answered = {"standing": "taken", "answered_at": NOW, "job_id": taken.job_id}
    said = {"form_id": taken.form_id} if twice == "form_id" else {"form_id": "x", **answered}
    second = QuoteRow(customer_id=taken.customer_id, title="x", made_at=NOW, **said)
    with joinery.store.writing() as session:
        session.add(second)
        with pytest.raises(IntegrityError, match=twice):
            session.flush()
        session.rollback()


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


def test_taken_out_and_put_into_an_empty_shop_it_is_the_same(
    joinery: Joinery, five: dict[str, int], empty: Store
) -> None:
    """Each quote reads to the cent as it did; terms and rates come along."""
    whole = b"".join(document_of_everything(joinery.store, NOW))
    assert {"quotes", "quote_revisions", "terms"} <= set(json.loads(whole)["tables"])
    bring_shop(empty, BytesIO(whole))
    for quote in five.values():
        with joinery.store.reading() as ours, empty.reading() as theirs:
            before = [kept_of(row) for row in quotes.quote_row(ours, quote).revisions]
            after = [kept_of(row) for row in quotes.quote_row(theirs, quote).revisions]
            assert after == before


def test_what_a_customer_was_quoted_and_the_hours_of_it(joinery: Joinery, five: dict[str, int]) -> None:
    """The newest first; the range of hands is that of the newest revision; a job tells its quote."""
    with joinery.store.reading() as session:
        draft = quotes.quote_row(session, five["draft"])
        other = quotes.quote_row(session, five["taken"])
        own = quotes.quotes_of_customer(session, other.customer_id, TODAY)
        assert [line.title for line in own] == ["trays", "old shelf", "hat rack", "Élan desk"]
        lines = quotes.list_quotes(session, TODAY)
        hands = quotes.hands_of(session, lines)
        assert set(hands) == {line.id for line in lines}
        assert hands[draft.id] == kept_of(draft.revisions[-1]).worked.hands_min
        assert quotes.hands_of(session, []) == {}
        assert other.job_id is not None
        assert quotes.quote_number_of_job(session, other.job_id) == other.id
        assert quotes.quote_number_of_job(session, other.job_id + 1) is None
    assert listed(joinery, words=str(five["draft"])) == ["new trays"]
