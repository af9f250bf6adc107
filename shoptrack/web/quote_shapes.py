"""The shapes of the documents of quotes that the office's programs are given."""

from dataclasses import dataclass
from datetime import date, datetime

from shoptrack.store.quotes import Standing

# Names end in "_" where the plain word is one of the language's own; the document has the plain word.


@dataclass(frozen=True, slots=True)
class QuoteDoc:
    """A quote as its newest revision has it; ``price_cents`` is without tax, ``job`` the one it became."""

    id: int
    title: str
    customer: str
    standing: Standing
    number: int
    pieces: int
    pattern: str
    price_cents: int
    made_at: datetime
    out_at: datetime | None
    valid_until: date | None
    answered_at: datetime | None
    job: int | None


@dataclass(frozen=True, slots=True)
class QuotesDoc:
    """The newest quotes, the newest first, at most 500."""

    database_id: str
    revision: int
    now: datetime
    quotes: tuple[QuoteDoc, ...]


@dataclass(frozen=True, slots=True)
class RangeDoc:
    """What one in ten, half, eight and nine in ten stay under."""

    p10: float
    p50: float
    p80: float
    p90: float


@dataclass(frozen=True, slots=True)
class QuotedStageDoc:
    """A stage as quoted: its place, measure, minutes, and what they rest on; null minutes: it is a rest."""

    position: int
    name: str
    kind: str
    unit: str
    quantity: float
    hands_min: RangeDoc | None
    machine_min: RangeDoc | None
    rests_on: str
    untested: bool


@dataclass(frozen=True, slots=True)
class QuotedLineDoc:
    """Something to buy: ``cents`` is what it comes to with its waste, in hundredths of a per cent."""

    kind: str
    words: str
    unit: str
    quantity: float
    cents_each: int
    waste_bp: int
    cents: int
    priced_on: date | None


@dataclass(frozen=True, slots=True)
class QuotedChargeDoc:
    """Something charged on top of the work: delivery, a rush, other."""

    kind: str
    words: str
    cents: int


@dataclass(frozen=True, slots=True)
class QuotedOptionDoc:
    """Something the customer may choose; ``in_total``: it is part of the price."""

    words: str
    cents: int
    in_total: bool


@dataclass(frozen=True, slots=True)
class QuotedSumsDoc:
    """The price of the work, what comes on top, the price without tax, the tax, what is paid, the deposit."""

    work_cents: int
    charges_cents: int
    options_cents: int
    price_cents: int
    tax_cents: int
    total_cents: int
    deposit_cents: int


@dataclass(frozen=True, slots=True)
class DayShareDoc:
    """What share of the drawn futures has the order ready by the end of a day."""

    on: date
    share: float


@dataclass(frozen=True, slots=True)
class PromiseDoc:
    """The days by which 5, 8 and 9 in 10 drawn futures have the order ready.

    They count on the answer being there by ``counted_on``; ``weighed`` other quotes were counted.
    """

    made_on: date
    counted_on: date
    half_by: date | None
    eight_in_ten_by: date | None
    nine_in_ten_by: date | None
    by_day: tuple[DayShareDoc, ...]
    depends_on: tuple[str, ...]
    weighed: int


@dataclass(frozen=True, slots=True)
class OneQuoteDoc:
    """One quote with what its newest revision was made from and what came out, as it was kept.

    ``wear_cents`` is what edges lose, in ``cost_cents`` too. ``promise`` is null until its date was reckoned.
    """

    database_id: str
    revision: int
    now: datetime
    quote: QuoteDoc
    words: str
    priced_on: date
    hands_min: RangeDoc
    cost_cents: RangeDoc
    wear_cents: RangeDoc
    stages: tuple[QuotedStageDoc, ...]
    bought: tuple[QuotedLineDoc, ...]
    charges: tuple[QuotedChargeDoc, ...]
    options: tuple[QuotedOptionDoc, ...]
    sums: QuotedSumsDoc
    promise: PromiseDoc | None
