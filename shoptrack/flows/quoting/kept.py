"""A stored revision of a quote → what it was made from and what came out, read back and never reckoned."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from shoptrack.engine.shapes.learned import Prediction
from shoptrack.engine.shapes.quoted import Asked, Judged, StageAsked, StageWorked, Worked
from shoptrack.flows.quoting.plain import from_plain, to_plain
from shoptrack.flows.quoting.wanted import Wanted, WantedCharge, WantedOption
from shoptrack.flows.quoting.worn import KeptEdge
from shoptrack.store.tables import QuoteRevisionRow


@dataclass(frozen=True, slots=True)
class KeptStage:
    """A stage as it was quoted. ``position`` is its place in the job that is made of the quote.

    ``sentence`` and ``machine_sentence`` say what its minutes rest on. A rest has nobody's minutes: it is in
    none of what was reckoned. ``usual_quantity`` is the pattern's own measure, None without a pattern.
    ``edges`` are those that it wears.
    """

    position: int
    kind: int
    kind_name: str
    name: str
    unit: str
    quantity: float
    usual_quantity: float | None = None
    rest: bool = False
    watched: bool = False
    untested: bool = False
    sentence: str = ""
    machine_sentence: str = ""
    station: int | None = None
    station_name: str = ""
    edges: tuple[KeptEdge, ...] = ()


@dataclass(frozen=True, slots=True)
class KeptLine:
    """Something to buy as it was quoted: ``cents`` is what it comes to, with its waste.

    ``priced_on`` is the day whose price it is, ``price_from_on`` the day from which the shop has had that
    price; both None where the price was typed.
    """

    kind: str
    words: str
    unit: str
    quantity: float
    cents_each: int
    waste_bp: int
    cents: int
    material: int | None = None
    priced_on: date | None = None
    price_from_on: date | None = None


@dataclass(frozen=True, slots=True)
class KeptTerms:
    """The terms that the quote was made with, the shop's or its own, and what an hour of hands costs."""

    margin_bp: int
    waste_bp: int
    tax_bp: float
    tax_name: str
    least_cents: int
    deposit_bp: int
    valid_days: int
    hands_cents_per_h: int


@dataclass(frozen=True, slots=True)
class Sums:
    """What the customer is told, in the currency's smallest unit.

    ``work_cents`` is the price of the work and what is bought for it; charges and the options in the total
    come on top: ``price_cents`` is the price without tax. ``total_cents`` is what is paid, tax in it, and
    ``deposit_cents`` the part of it that is asked when the order is given.
    """

    work_cents: int
    charges_cents: int
    options_cents: int
    price_cents: int
    tax_cents: int
    total_cents: int
    deposit_cents: int


@dataclass(frozen=True, slots=True)
class Made:
    """All of a revision that is not what was reckoned: words, stages, lines, terms, as they were that day.

    ``pattern`` and ``revision`` are ids, ``pattern_name`` and ``pattern_number`` what they read as.
    """

    on: date
    wanted: Wanted
    stages: tuple[KeptStage, ...]
    bought: tuple[KeptLine, ...]
    terms: KeptTerms
    pattern: int | None = None
    pattern_name: str = ""
    pattern_number: int | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of it for the customer: the sums, and what the price of the work leaves."""

    sums: Sums
    judged: Judged


@dataclass(frozen=True, slots=True)
class Kept:
    """One revision of a quote, whole; a draft that is not stored yet looks the same.

    ``asked`` and ``worked`` have the stages that are reckoned, in their order, without rests:
    ``reckoned`` puts them beside ``made.stages``. ``seed`` is what the draws began from, ``method`` by which
    rules it was reckoned.
    """

    number: int
    made_at: datetime
    who: int | None
    method: str
    seed: int
    made: Made
    asked: Asked
    worked: Worked
    outcome: Outcome

    @property
    def wanted(self) -> Wanted:
        """What was wanted; the customer's name is not in it, the quote's row has it."""
        return self.made.wanted

    @property
    def sums(self) -> Sums:
        """What the customer is told."""
        return self.outcome.sums

    @property
    def judged(self) -> Judged:
        """What the price of the work leaves of margin."""
        return self.outcome.judged

    @property
    def terms(self) -> KeptTerms:
        """The terms that it was made with."""
        return self.made.terms

    @property
    def bought(self) -> tuple[KeptLine, ...]:
        """What is bought."""
        return self.made.bought

    @property
    def charges(self) -> tuple[WantedCharge, ...]:
        """What is charged on top of the work."""
        return self.made.wanted.charges

    @property
    def options(self) -> tuple[WantedOption, ...]:
        """What the customer may choose."""
        return self.made.wanted.options

    @property
    def reckoned(self) -> "tuple[KeptWork, ...]":
        """Each stage with what was foretold of it and what it came to, rests too."""
        found = zip(self.asked.stages, self.worked.stages, strict=True)
        return tuple(
            KeptWork(stage, None, None) if stage.rest else KeptWork(stage, *next(found))
            for stage in self.made.stages
        )

    @property
    def untested(self) -> tuple[KeptStage, ...]:
        """The stages of which nothing of this pattern was logged."""
        return tuple(stage for stage in self.made.stages if stage.untested)


@dataclass(frozen=True, slots=True)
class KeptWork:
    """A stage with what was foretold (``asked``) and what came out (``worked``); both None for a rest."""

    stage: KeptStage
    asked: StageAsked | None
    worked: StageWorked | None

    @property
    def hands(self) -> Prediction | None:
        """What was foretold of its hands."""
        return None if self.asked is None else self.asked.hands


def kept_of(row: QuoteRevisionRow) -> Kept:
    """A stored revision, read back: the same for ever, whatever was learned or said since."""
    made = from_plain(Made, row.asked["made"])
    return Kept(
        number=row.number,
        made_at=row.made_at,
        who=row.person_id,
        method=row.method,
        seed=row.seed,
        made=made,
        asked=from_plain(Asked, row.asked["asked"]),
        worked=from_plain(Worked, row.worked["worked"]),
        outcome=from_plain(Outcome, row.worked["outcome"]),
    )


def revision_row(kept: Kept, quote: int) -> QuoteRevisionRow:
    """The row that keeps a revision of a quote."""
    made = replace(kept.made, wanted=replace(kept.made.wanted, customer="", new_customer=False))
    return QuoteRevisionRow(
        quote_id=quote,
        number=kept.number,
        made_at=kept.made_at,
        person_id=kept.who,
        pattern_revision_id=kept.wanted.revision,
        pieces=kept.wanted.pieces,
        method=kept.method,
        seed=kept.seed,
        asked={"made": to_plain(made), "asked": to_plain(kept.asked)},
        worked={"outcome": to_plain(kept.outcome), "worked": to_plain(kept.worked)},
        price_cents=kept.sums.price_cents,
    )


def newest(rows: Sequence[QuoteRevisionRow]) -> Kept:
    """The newest of a quote's revisions."""
    return kept_of(max(rows, key=lambda row: row.number))
