"""The shapes of the documents that programs are given; the API document is made from them."""

from dataclasses import dataclass
from datetime import date, datetime

from shoptrack.engine.shapes import State
from shoptrack.web.quote_shapes import RangeDoc

# Names end in "_" where the plain word is one of the language's own; the document has the plain word.


@dataclass(frozen=True, slots=True)
class PersonDoc:
    """Somebody who works here: the stages they are at, or shop time by its name, and since when."""

    id: int
    name: str
    at: tuple[int, ...]
    shop_time: str | None
    since: datetime | None


@dataclass(frozen=True, slots=True)
class WaitDoc:
    """What a stage waits for: why, the stage, until when, how many clamps; null where it does not apply."""

    why: str
    stage: int | None
    until: datetime | None
    count: int | None


@dataclass(frozen=True, slots=True)
class StageDoc:
    """Where a stage stands; ``until`` is when its state ends by itself."""

    id: int
    job: int
    tag: str
    name: str
    kind: str
    state: State
    until: datetime | None
    people: tuple[int, ...]
    waits_for: tuple[WaitDoc, ...]
    ready_count: float


@dataclass(frozen=True, slots=True)
class OfferDoc:
    """An answer that can be given: the choice, the words shown, minutes or an instant that go with it.

    With a ``tool`` it is given by an entry of kind "edge", with this tool and choice.
    """

    choice: str
    words: str
    minutes: float | None
    to_at: datetime | None
    tool: int | None


@dataclass(frozen=True, slots=True)
class QuestionDoc:
    """Something asked; it is answered by an entry of kind "answer" with the same ``of`` and ``asks``."""

    of: str
    asks: str
    words: str
    at: datetime
    person: int | None
    stages: tuple[int, ...]
    job: int | None
    offers: tuple[OfferDoc, ...]


@dataclass(frozen=True, slots=True)
class CuringDoc:
    """A mark still to come or still open; ``doubtful``: too cold, ``assumed``: nobody said "closed"."""

    stage: int
    round: int
    mark: str
    from_: datetime | None
    until: datetime | None
    doubtful: bool
    assumed: bool


@dataclass(frozen=True, slots=True)
class FloorDoc:
    """How the shop stands at ``now``, at this revision of this database."""

    database_id: str
    revision: int
    now: datetime
    people: tuple[PersonDoc, ...]
    stages: tuple[StageDoc, ...]
    questions: tuple[QuestionDoc, ...]
    curing: tuple[CuringDoc, ...]


@dataclass(frozen=True, slots=True)
class JobDoc:
    """An open job and how many of its stages are done."""

    id: int
    tag: str
    title: str
    customer: str
    pieces: int
    promised_on: date | None
    must_keep: bool
    closed_at: datetime | None
    stages_done: int
    stages: int


@dataclass(frozen=True, slots=True)
class JobsDoc:
    """The jobs in progress, the earliest promised first."""

    database_id: str
    revision: int
    now: datetime
    jobs: tuple[JobDoc, ...]


@dataclass(frozen=True, slots=True)
class WorkDoc:
    """What one stage of a job took so far, in all its passes; minutes are within the shop's hours."""

    stage: int
    unit: str
    quantity: float
    attended_min: float
    machine_min: float
    started_at: datetime | None
    finished_at: datetime | None


@dataclass(frozen=True, slots=True)
class OneJobDoc:
    """One job with its stages in order, what each took, and what cures."""

    database_id: str
    revision: int
    now: datetime
    job: JobDoc
    stages: tuple[StageDoc, ...]
    work: tuple[WorkDoc, ...]
    curing: tuple[CuringDoc, ...]


@dataclass(frozen=True, slots=True)
class RuleDoc:
    """Minutes of set-up and minutes for each of the measure."""

    setup_min: float
    rate_min: float


@dataclass(frozen=True, slots=True)
class ForetoldDoc:
    """The minutes foretold for a measure: of hands, of the machine (null: none), and what they rest on."""

    quantity: float
    pattern: int | None
    hands_min: RangeDoc
    machine_min: RangeDoc | None
    rests_on: str


@dataclass(frozen=True, slots=True)
class PatternTimesDoc:
    """What was learned of a kind of stage within one pattern."""

    pattern: int
    name: str
    logs: int
    orders: int
    learned: RuleDoc


@dataclass(frozen=True, slots=True)
class KindTimesDoc:
    """What was learned of one kind of stage; ``imported`` and ``set_aside`` of its ``logs`` are such.

    ``rule`` is the rule of thumb, ``learned`` what the log would make it; null where there is none.
    ``foretold`` is for the quantity that was asked, else for the usual one; null where nothing can be said.
    """

    kind: int
    name: str
    unit: str
    attendance: str
    retired: bool
    logs: int
    imported: int
    set_aside: int
    rule: RuleDoc | None
    learned: RuleDoc | None
    usual_quantity: float | None
    foretold: ForetoldDoc | None
    patterns: tuple[PatternTimesDoc, ...]


@dataclass(frozen=True, slots=True)
class TimesDoc:
    """What the kinds of stage really take, in the shop's order."""

    database_id: str
    revision: int
    now: datetime
    kinds: tuple[KindTimesDoc, ...]
