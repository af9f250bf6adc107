"""What was kept of a quote is read back, never reckoned: it shows the same bytes for ever."""

import json
from dataclasses import replace
from datetime import date, timedelta

import pytest
from sqlalchemy import select, text

from shoptrack.engine import durations
from shoptrack.engine.shapes import Rule
from shoptrack.flows.quoting import drafts, work_out
from shoptrack.flows.quoting.kept import Kept, kept_of, newest, revision_row
from shoptrack.flows.quoting.wanted import TermsSaid, Wanted, WantedLine
from shoptrack.store import shop
from shoptrack.store.quotes import quote_row
from shoptrack.store.rates import set_rate
from shoptrack.store.tables import (
    MaterialPriceRow,
    MaterialRow,
    PatternRow,
    QuoteRevisionRow,
    StageKindRow,
    StationRow,
)
from shoptrack.store.terms import Terms, say_terms
from tests.flows.quoting.shop import FORM, OPENED_ON, ROUTER, ad_hoc, kept, made, mill_trays, tray, worked_out
from tests.joinery import LONG_AGO, NOW, UNA, Joinery


def bytes_of(joinery: Joinery) -> list[tuple[object, ...]]:
    """Every revision as the database file has it."""
    with joinery.store.reading() as session:
        return [tuple(row) for row in session.execute(text("SELECT * FROM quote_revisions ORDER BY id"))]


def test_it_is_read_back_as_it_was_reckoned(joinery: Joinery, wood: int) -> None:
    """But for the customer's name, which the quote itself has."""
    for n, wanted in enumerate((tray(joinery, wood), ad_hoc(joinery))):
        form = f"{n:032}"
        shown = worked_out(joinery, wanted, form)
        assert kept(joinery, made(joinery, wanted, form)) == replace(shown, who=UNA)
        assert shown.wanted == replace(wanted, customer="")


def test_a_tax_of_three_decimals_is_kept_with_its_cents(joinery: Joinery, wood: int) -> None:
    """8.875 % of 1,234.56 is 109.5672, by hand: 109.57, and 1,344.13 is paid."""
    bought = (WantedLine("other", "a slab", 1, 100),)
    wanted = Wanted("Ruy Plas", "a slab", bought=bought, terms=TermsSaid(tax_bp=887.5), price_cents=123_456)
    found = kept(joinery, made(joinery, wanted))
    assert (found.terms.tax_bp, found.wanted.terms.tax_bp) == (887.5, 887.5)
    sums = found.sums
    assert (sums.price_cents, sums.tax_cents, sums.total_cents) == (123_456, 10_957, 134_413)
    assert found.asked.tax_bp == 887.5


def test_it_shows_the_same_cents_for_ever(
    joinery: Joinery, wood: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every rate, rule of thumb, price, term, name and log is another by now, and the method too."""
    quote = made(joinery, tray(joinery, wood))
    before, stored = kept(joinery, quote), bytes_of(joinery)
    mill_trays(joinery, 90, 95, 100)
    change_everything(joinery, wood)
    monkeypatch.setattr(durations, "METHOD", "another")
    monkeypatch.setattr(work_out, "METHOD", "another")
    assert bytes_of(joinery) == stored
    after = kept(joinery, quote)
    assert after == before
    assert repr(after) == repr(before)
    anew = worked_out(joinery, tray(joinery, wood))
    assert anew.seed == before.seed
    assert (anew.method, anew.sums, anew.made.stages) != (before.method, before.sums, before.made.stages)


def change_everything(joinery: Joinery, wood: int) -> None:
    """Say everything that a quote is reckoned from otherwise, from the first day on."""
    with joinery.store.writing() as session:
        set_rate(session, cents_per_h=9900, from_on=OPENED_ON, who=None, now=NOW)
        set_rate(session, cents_per_h=1, from_on=OPENED_ON, who=None, now=NOW, station=ROUTER)
        say_terms(session, Terms(100, 0, 0, "", 0, 0, 1), from_on=OPENED_ON, who=None, now=NOW)
        for kind in session.scalars(select(StageKindRow)):
            shop.set_rule(session, kind.id, from_at=LONG_AGO + timedelta(days=1), rule=Rule(200, 200))
            kind.name, kind.unit = f"other {kind.id}", "yards"
        for price in session.scalars(select(MaterialPriceRow)):
            price.cents = 1
        session.get_one(MaterialRow, wood).name = "beech"
        session.get_one(StationRow, ROUTER).name = "another"
        for pattern in session.scalars(select(PatternRow)):
            pattern.name, pattern.retired_at = f"pattern {pattern.id}", NOW


def test_reading_back_draws_nothing(joinery: Joinery, wood: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Neither fits, draws nor judges: with all of that gone it is read all the same."""
    quote = made(joinery, tray(joinery, wood))
    before = kept(joinery, quote)
    for name in ("price", "judge", "foresee", "priced", "terms_for"):
        monkeypatch.delattr(work_out, name)
    assert kept(joinery, quote) == before


def test_what_is_kept_says_who_when_and_by_which_method(joinery: Joinery, wood: int) -> None:
    found = kept(joinery, made(joinery, tray(joinery, wood)))
    assert (found.number, found.who, found.made_at) == (1, UNA, NOW)
    assert found.method == f"{durations.METHOD}.{work_out.METHOD}"
    assert found.made.on == date(2026, 11, 25)
    assert (found.made.pattern, found.made.pattern_name, found.made.pattern_number) == (1, "tray", 1)


def test_a_revision_of_an_older_program_reads_with_what_it_knew(joinery: Joinery, wood: int) -> None:
    """Fields that it did not have take their defaults; what is no longer known is left out."""
    quote = made(joinery, tray(joinery, wood))
    with joinery.store.reading() as session:
        row = quote_row(session, quote).revisions[-1]
        plain = json.loads(json.dumps(row.asked))
    del plain["made"]["stages"][0]["station_name"]
    del plain["made"]["wanted"]["price_at"]
    plain["made"]["once"] = 5
    old = QuoteRevisionRow(number=1, made_at=NOW, method="0", seed=1, asked=plain, worked=row.worked)
    assert replace(kept_of(old), method="1", seed=1, who=None).made == kept(joinery, quote).made


def test_the_newest_of_several_is_the_highest_number(joinery: Joinery, wood: int) -> None:
    quote = made(joinery, tray(joinery, wood))
    drafts.revise(joinery.store, quote, 1, tray(joinery, wood, pieces=3), UNA, NOW)
    with joinery.store.reading() as session:
        rows = quote_row(session, quote).revisions
        assert newest(list(reversed(rows))).number == 2


def test_the_row_has_what_lists_ask_for(joinery: Joinery, wood: int) -> None:
    found: Kept = worked_out(joinery, tray(joinery, wood), FORM, 4)
    row = revision_row(found, 9)
    assert (row.quote_id, row.number, row.pieces, row.price_cents) == (9, 4, 2, found.sums.price_cents)
    assert (row.pattern_revision_id, row.seed) == (joinery.revisions["tray"], found.seed)
    json.dumps([row.asked, row.worked], allow_nan=False)
