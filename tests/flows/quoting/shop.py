"""The small shop with rates, terms, a priced wood and a few trays behind it, for tests of quotes."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from shoptrack.flows.learning import learned
from shoptrack.flows.quoting import answers, drafts
from shoptrack.flows.quoting.kept import Kept, kept_of
from shoptrack.flows.quoting.wanted import (
    Wanted,
    WantedCharge,
    WantedLine,
    WantedOption,
    WantedStage,
)
from shoptrack.flows.quoting.work_out import work_out
from shoptrack.store.quotes import quote_row
from shoptrack.store.rates import set_rate
from shoptrack.store.tables import MaterialPriceRow, MaterialRow, StationRow
from shoptrack.store.terms import Terms, say_terms
from tests.joinery import NOW, UNA, Joinery, at

FORM = "f" * 32
OPENED_ON = date(2025, 1, 1)
TERMS = Terms(
    margin_bp=2500,
    waste_bp=2000,
    tax_bp=800,
    tax_name="VAT",
    least_cents=10_000,
    deposit_bp=5000,
    valid_days=30,
)
ROUTER = 1


def price_all(joinery: Joinery) -> int:
    """Say what an hour, the router and a foot of cherry cost, and the terms; gives the wood's number."""
    with joinery.store.writing() as session:
        set_rate(session, cents_per_h=6000, from_on=OPENED_ON, who=None, now=NOW)
        set_rate(session, cents_per_h=3000, from_on=OPENED_ON, who=None, now=NOW, station=ROUTER)
        say_terms(session, TERMS, from_on=OPENED_ON, who=None, now=NOW)
        wood = MaterialRow(name="cherry", unit="board feet")
        session.add(wood)
        session.flush()
        session.add(MaterialPriceRow(material_id=wood.id, from_on=date(2026, 3, 2), cents=1150))
        session.add(MaterialPriceRow(material_id=wood.id, from_on=date(2026, 12, 1), cents=1300))
        assert session.get_one(StationRow, ROUTER).name == "router"
        return wood.id


def mill_trays(joinery: Joinery, *minutes: int) -> None:
    """Mill one tray after another, each on a Wednesday morning of its own and in so many minutes."""
    for n, took in enumerate(minutes):
        stages = joinery.add("tray", f"tray {n}", None)
        begun = at("9:00", -7 * (len(minutes) - n))
        joinery.plan("start", begun, stages["milling"])
        joinery.plan("finish", begun + timedelta(minutes=took), stages["milling"])
    joinery.play()


def tray(joinery: Joinery, wood: int, **said: Any) -> Wanted:
    """Two trays as Odile Marr wants them."""
    wanted = Wanted(
        customer="Odile Marr",
        title="two trays",
        pieces=2,
        revision=joinery.revisions["tray"],
        bought=(
            WantedLine("material", "cherry, 5/4", 6.5, material=wood),
            WantedLine("hardware", "handles", 4, cents_each=375),
        ),
        charges=(WantedCharge("delivery", "to the door", 4000),),
        options=(WantedOption("feet", 2500, True), WantedOption("a lid", 9000)),
        words="oiled, with rounded corners",
        notes="she likes straight grain",
    )
    return replace(wanted, **said)


def ad_hoc(joinery: Joinery, **said: Any) -> Wanted:
    """A shelf without a pattern: milled, glued up, oiled."""
    stages = (
        WantedStage(joinery.kinds["milling"], 8.5, "shelf boards"),
        WantedStage(joinery.kinds["carving"], 2, "dish it", ROUTER),
        WantedStage(joinery.kinds["glue-up"], 3),
    )
    return replace(Wanted(customer="Ruy Plas", title="a shelf", stages=stages), **said)


def worked_out(joinery: Joinery, wanted: Wanted, form_id: str = FORM, number: int = 1) -> Kept:
    """The quote as it would be kept now."""
    known = learned(joinery.store, NOW)
    with joinery.store.reading() as session:
        return work_out(session, known, wanted, form_id=form_id, number=number, now=NOW)


def kept(joinery: Joinery, quote: int) -> Kept:
    """The newest revision of a quote, read back."""
    with joinery.store.reading() as session:
        return kept_of(quote_row(session, quote).revisions[-1])


def row_of(joinery: Joinery, quote: int) -> Mapping[str, Any]:
    """A quote's own columns."""
    with joinery.store.reading() as session:
        row = quote_row(session, quote)
        return {column.name: getattr(row, column.name) for column in row.__table__.columns}


def made(joinery: Joinery, wanted: Wanted, form_id: str = FORM) -> int:
    """A draft."""
    return drafts.make(joinery.store, wanted, form_id, UNA, NOW)


def out(joinery: Joinery, wanted: Wanted, form_id: str = FORM) -> int:
    """A quote that was put out."""
    quote = made(joinery, wanted, form_id)
    answers.put_out(joinery.store, quote, 1, UNA, NOW)
    return quote
