"""The shop's terms and rates of a day, and what a quote says otherwise → the terms it is made with."""

from collections.abc import Sequence
from datetime import date

from sqlalchemy.orm import Session

from shoptrack.engine.prices import WHOLE_BP
from shoptrack.errors import BadInput
from shoptrack.flows.quoting.kept import KeptTerms
from shoptrack.flows.quoting.lines import MOST_CENTS
from shoptrack.flows.quoting.wanted import TermsSaid
from shoptrack.store.rates import hands_rate
from shoptrack.store.tables import RateRow
from shoptrack.store.terms import MOST_DAYS, MOST_MARGIN_BP, MOST_WASTE_BP, terms_on


def terms_for(
    session: Session, said: TermsSaid, rates: Sequence[RateRow], on: date, works: bool
) -> KeptTerms:
    """The terms of a quote on a day: what it says itself, else what the shop says.

    An hour of hands is at the rate of anybody. Raises BadInput for a term that can't be meant, or where there
    is work in it (``works``) and nobody said what an hour costs.
    """
    shop = terms_on(session, on)
    hour = hands_rate(rates, None, on) if said.hands_cents_per_h is None else said.hands_cents_per_h
    if works and hour is None:
        raise BadInput(
            "Nobody said yet what an hour of hands costs: write it here, or under Shop, Rates for good.",
            "hour",
        )
    found = KeptTerms(
        margin_bp=_either(said.margin_bp, shop.margin_bp),
        waste_bp=_either(said.waste_bp, shop.waste_bp),
        tax_bp=shop.tax_bp if said.tax_bp is None else said.tax_bp,
        tax_name=shop.tax_name if said.tax_name is None else said.tax_name,
        least_cents=_either(said.least_cents, shop.least_cents),
        deposit_bp=_either(said.deposit_bp, shop.deposit_bp),
        valid_days=_either(said.valid_days, shop.valid_days),
        hands_cents_per_h=hour or 0,
    )
    _refuse(found)
    return found


def _either(own: int | None, shop: int) -> int:
    return shop if own is None else own


def _refuse(terms: KeptTerms) -> None:
    checks = (
        (
            0 <= terms.margin_bp <= MOST_MARGIN_BP,
            "A margin lies between 0 % and 95 % of the price.",
            "margin",
        ),
        (0 <= terms.waste_bp <= MOST_WASTE_BP, "The waste on top lies between 0 % and 300 %.", "waste"),
        (0 <= terms.tax_bp <= WHOLE_BP, "A tax lies between 0 % and 100 %.", "tax"),
        (
            0 <= terms.deposit_bp <= WHOLE_BP,
            "A deposit lies between 0 % and 100 % of what is paid.",
            "deposit",
        ),
        (0 <= terms.least_cents <= MOST_CENTS, "That least charge can’t be meant.", "least"),
        (0 <= terms.hands_cents_per_h <= MOST_CENTS, "That rate can’t be meant.", "hour"),
        (
            1 <= terms.valid_days <= MOST_DAYS,
            f"A quote holds from 1 to {MOST_DAYS} days.",
            "valid_days",
        ),
    )
    for fits, sentence, field in checks:
        if not fits:
            raise BadInput(sentence, field)
