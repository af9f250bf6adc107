"""What is wanted, what was learned, and the rates, prices and terms of a day → a quote, reckoned whole."""

import hashlib
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime

import numpy as np
from sqlalchemy.orm import Session

from shoptrack.engine import durations
from shoptrack.engine.prices import deposit, tax_on
from shoptrack.engine.quote import judge, price
from shoptrack.engine.shapes.quoted import Asked, Judged, Worked
from shoptrack.errors import BadInput
from shoptrack.flows.learning import Learned
from shoptrack.flows.quoting.kept import Kept, KeptLine, KeptTerms, Made, Outcome, Sums
from shoptrack.flows.quoting.lines import MOST_CENTS, as_bought, priced
from shoptrack.flows.quoting.stages import Foreseen, Given, foresee, revision_row
from shoptrack.flows.quoting.terms import terms_for
from shoptrack.flows.quoting.wanted import CHARGE_KINDS, Wanted
from shoptrack.flows.quoting.worn import Worn, usually_worn
from shoptrack.flows.spoilage import Spoilage, spoilage
from shoptrack.store.rates import list_rates
from shoptrack.store.shop import shop_zone

METHOD = "2"
"""Raised with every change that would make another quote of the same log, rates and terms."""


def work_out(
    session: Session,
    learned: Learned,
    wanted: Wanted,
    *,
    form_id: str,
    number: int = 1,
    who: int | None = None,
    now: datetime,
    spoiled: Spoilage | None = None,
    worn: Worn | None = None,
) -> Kept:
    """Reckon a quote as it would be kept, without keeping it.

    Takes the hidden id of the form that made the quote and the number of the revision: from them come the
    seed, so what is shown before it is kept has the very cents that are kept. ``spoiled`` None: the shares of
    spoiled work are read. ``worn`` None: edges last as they usually do. Raises BadInput with the field of the
    form, named as ``bought-0-each``, for what can't be meant or has no rate or price.
    """
    _refuse(wanted)
    on = day_of(session, now)
    rates = list_rates(session)
    works = wanted.revision is not None or bool(wanted.stages)
    terms = terms_for(session, wanted.terms, rates, on, works)
    row = revision_row(session, wanted)
    spoilt, edges = spoiled or spoilage(session, now), worn or usually_worn(session, now)
    given = Given(learned, spoilt, rates, terms.hands_cents_per_h, on, edges)
    stages = foresee(session, wanted, None if row is None else row.pattern_id, given)
    lines = priced(session, wanted.bought, terms.waste_bp, on)
    made = Made(
        on=on,
        wanted=replace(wanted, customer="", new_customer=False),
        stages=tuple(stage.kept for stage in stages),
        bought=lines,
        terms=terms,
        pattern=None if row is None else row.pattern_id,
        pattern_name="" if row is None else row.pattern.name,
        pattern_number=None if row is None else row.number,
    )
    seed = seed_of(form_id, number)
    asked = _asked(stages, lines, terms, learned.likeness)
    worked = price(asked, np.random.default_rng(seed))
    return Kept(
        number=number,
        made_at=now,
        who=who,
        method=f"{durations.METHOD}.{METHOD}",
        seed=seed,
        made=made,
        asked=asked,
        worked=worked,
        outcome=_outcome(wanted, worked, terms),
    )


def judged_at(kept: Kept, work_cents: int) -> Judged:
    """What another price of the work would leave, from the costs that are kept: nothing is drawn again."""
    return judge(kept.worked, work_cents)


def sums_at(wanted: Wanted, terms: KeptTerms, work_cents: int) -> Sums:
    """The sums for a price of the work. Raises BadInput where what is left out makes it less than nothing."""
    charges = sum(charge.cents for charge in wanted.charges)
    options = sum(option.cents for option in wanted.options if option.in_total)
    whole = work_cents + charges + options
    if whole < 0:
        raise BadInput("The options in the total make the price less than nothing.", "options")
    tax = tax_on(whole, terms.tax_bp)
    return Sums(
        work_cents=work_cents,
        charges_cents=charges,
        options_cents=options,
        price_cents=whole,
        tax_cents=tax,
        total_cents=whole + tax,
        deposit_cents=deposit(whole + tax, terms.deposit_bp),
    )


def seed_of(form_id: str, number: int) -> int:
    """What the draws of a revision begin from: the same for the same form and number, 48 bits."""
    return int.from_bytes(hashlib.sha256(f"{form_id} {number}".encode()).digest()[:6])


def day_of(session: Session, now: datetime) -> date:
    """The shop's day of an instant."""
    return now.astimezone(shop_zone(session)).date()


def _asked(stages: Sequence[Foreseen], lines: Sequence[KeptLine], terms: KeptTerms, likeness: float) -> Asked:
    return Asked(
        stages=tuple(stage.asked for stage in stages if stage.asked is not None),
        bought=tuple(as_bought(line) for line in lines),
        likeness=likeness,
        margin_bp=terms.margin_bp,
        least_cents=terms.least_cents,
        tax_bp=terms.tax_bp,
        deposit_bp=terms.deposit_bp,
    )


def _outcome(wanted: Wanted, worked: Worked, terms: KeptTerms) -> Outcome:
    reckoned = worked.price_p80_cents if wanted.price_at == "eight in ten" else worked.price_p50_cents
    work_cents = reckoned if wanted.price_cents is None else wanted.price_cents
    return Outcome(sums_at(wanted, terms, work_cents), judge(worked, work_cents))


def _refuse(wanted: Wanted) -> None:
    if not wanted.title.strip():
        raise BadInput("Say what is quoted.", "title")
    if not 1 <= wanted.pieces <= 10_000:
        raise BadInput("Pieces must be a whole number from 1 to 10000.", "pieces")
    if wanted.revision is None and not wanted.stages and not wanted.bought:
        raise BadInput("A quote needs a pattern, a stage or something bought.", "pattern")
    if wanted.price_cents is not None and not 0 <= wanted.price_cents <= MOST_CENTS:
        raise BadInput("That price can’t be meant.", "price")
    for charge in wanted.charges:
        if charge.kind not in CHARGE_KINDS or not 0 <= charge.cents <= MOST_CENTS:
            raise BadInput("That charge can’t be meant.", charge.kind)
    for n, option in enumerate(wanted.options):
        if not option.words:
            raise BadInput("Say what the option is.", f"option-{n}-words")
        if abs(option.cents) > MOST_CENTS:
            raise BadInput("That price can’t be meant.", f"option-{n}-price")
