"""What is to be bought → lines with a price of the day, and those that the last quote proposes."""

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from fractions import Fraction

from sqlalchemy.orm import Session

from shoptrack.engine.cents import rounded_parts
from shoptrack.engine.shapes.quoted import Bought
from shoptrack.errors import BadInput
from shoptrack.flows.quoting.kept import KeptLine, kept_of
from shoptrack.flows.quoting.wanted import BOUGHT_KINDS, WantedLine
from shoptrack.store.quotes import Price, material_price, newest_of_pattern
from shoptrack.store.terms import MOST_WASTE_BP

MOST_CENTS = 10**12
MOST_QUANTITY = 1_000_000.0

BY_THE_PIECE = ("material", "glue and finish", "hardware")
"""What is bought of these grows with the pieces."""


def priced(session: Session, lines: Sequence[WantedLine], waste_bp: int, on: date) -> tuple[KeptLine, ...]:
    """Lines with their prices: typed, or their materials' on a day; what they come to adds up to the cent.

    Takes the waste that the shop buys on top of materials. Raises BadInput for a quantity or price that can't
    be meant, or where there is neither a price nor one typed.
    """
    found = [_priced(session, line, n, waste_bp, on) for n, line in enumerate(lines)]
    cents = rounded_parts([as_bought(line).cents for line in found])
    return tuple(replace(line, cents=own) for line, own in zip(found, cents, strict=True))


def _priced(session: Session, line: WantedLine, n: int, waste_bp: int, on: date) -> KeptLine:
    _refuse(line, n)
    known = None if line.material is None else material_price(session, line.material, on)
    if line.material is not None and known is None:
        raise BadInput("There is no such material.", f"bought-{n}-material")
    looked_up = line.cents_each is None
    usual = waste_bp if line.kind == "material" else 0
    return KeptLine(
        kind=line.kind,
        words=line.words or (known.name if known else ""),
        unit=line.unit or (known.unit if known else ""),
        quantity=line.quantity,
        cents_each=_of_material(known, n) if line.cents_each is None else line.cents_each,
        waste_bp=usual if line.waste_bp is None else line.waste_bp,
        cents=0,
        material=line.material,
        priced_on=on if looked_up else None,
        price_from_on=known.from_on if known and looked_up else None,
    )


def _of_material(known: Price | None, n: int) -> int:
    if known is None:
        raise BadInput("Say what one of it costs.", f"bought-{n}-each")
    if known.cents is None:
        raise BadInput(f"There is no price for {known.name} yet: say what one costs.", f"bought-{n}-each")
    return known.cents


def _refuse(line: WantedLine, n: int) -> None:
    if line.kind not in BOUGHT_KINDS:
        raise BadInput("Choose what kind of thing it is.", f"bought-{n}-kind")
    if not line.words and line.material is None:
        raise BadInput("Say what is bought.", f"bought-{n}-words")
    if not (math.isfinite(line.quantity) and 0 < line.quantity <= MOST_QUANTITY):
        raise BadInput("How much of it must be above nought.", f"bought-{n}-quantity")
    if line.cents_each is not None and not 0 <= line.cents_each <= MOST_CENTS:
        raise BadInput("That price can’t be meant.", f"bought-{n}-each")
    if line.waste_bp is not None and not 0 <= line.waste_bp <= MOST_WASTE_BP:
        raise BadInput("The waste on top lies between 0 % and 300 %.", f"bought-{n}-waste")


def as_bought(line: KeptLine) -> Bought:
    """A priced line as it is reckoned."""
    return Bought(line.words, line.kind, line.quantity, line.cents_each, line.waste_bp)


def proposed(session: Session, pattern: int, pieces: int) -> tuple[WantedLine, ...]:
    """What the last quote of a pattern bought, for so many pieces as now. Empty: it was never quoted.

    Materials, glue, finish and hardware grow with the pieces; the rest is taken as it was. Prices that came
    from a material's are looked up anew.
    """
    last = newest_of_pattern(session, pattern)
    if last is None:
        return ()
    grown = Fraction(pieces, last.pieces)
    return tuple(_again(line, grown) for line in kept_of(last).wanted.bought)


def _again(line: WantedLine, grown: Fraction) -> WantedLine:
    times = grown if line.kind in BY_THE_PIECE else Fraction(1)
    quantity = round(float(Fraction(str(line.quantity)) * times), 3)
    return replace(line, quantity=quantity or line.quantity)
