"""What is wanted of a quote, as a form says it: work, what is bought, charges, options, terms, price."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

BOUGHT_KINDS = ("material", "glue and finish", "hardware", "outside work", "other")
CHARGE_KINDS = ("delivery", "rush", "other")

PriceAt = Literal["eight in ten", "half"]
"""What cost the price stands on where none is typed: the one that eight, or five, in ten stay under."""


@dataclass(frozen=True, slots=True)
class WantedStage:
    """A stage of a quote without a pattern: its kind, its measure, and the station it holds.

    ``name`` empty: what the kind is called.
    """

    kind: int
    quantity: float
    name: str = ""
    station: int | None = None


@dataclass(frozen=True, slots=True)
class WantedLine:
    """Something to buy. ``cents_each`` None: the material's price on the day.

    ``waste_bp`` None: the shop's own waste on a material, none on anything else. ``unit`` empty: the
    material's.
    """

    kind: str
    words: str
    quantity: float
    cents_each: int | None = None
    waste_bp: int | None = None
    unit: str = ""
    material: int | None = None


@dataclass(frozen=True, slots=True)
class WantedCharge:
    """Something charged on top of the work, in its own words: delivery, a rush."""

    kind: str
    words: str
    cents: int


@dataclass(frozen=True, slots=True)
class WantedOption:
    """Something the customer may choose, at a price; ``in_total``: it is part of the price quoted."""

    words: str
    cents: int
    in_total: bool = False


@dataclass(frozen=True, slots=True)
class TermsSaid:
    """What this one quote says otherwise than the shop's terms; None: as the shop says."""

    margin_bp: int | None = None
    waste_bp: int | None = None
    tax_bp: float | None = None
    tax_name: str | None = None
    least_cents: int | None = None
    deposit_bp: int | None = None
    valid_days: int | None = None
    hands_cents_per_h: int | None = None


@dataclass(frozen=True, slots=True)
class Wanted:
    """All that a quote is made from.

    ``customer`` is a name that was typed or chosen, as for a new job; ``new_customer`` adds one though others
    have that name. ``revision`` is a pattern's revision by id, with the ``measures`` that differ from it by
    stage position; None: the ``stages`` are said one by one. ``words`` are for the customer, ``notes`` for
    the shop. ``price_cents`` is a typed price of the work; None: reckoned, at ``price_at``.
    """

    customer: str
    title: str
    pieces: int = 1
    revision: int | None = None
    measures: Mapping[int, float] = field(default_factory=dict)
    stages: tuple[WantedStage, ...] = ()
    bought: tuple[WantedLine, ...] = ()
    charges: tuple[WantedCharge, ...] = ()
    options: tuple[WantedOption, ...] = ()
    terms: TermsSaid = TermsSaid()
    price_at: PriceAt = "eight in ten"
    price_cents: int | None = None
    words: str = ""
    notes: str = ""
    new_customer: bool = False
