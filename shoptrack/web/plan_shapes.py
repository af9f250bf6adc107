"""The shapes of the plan's documents for programs; the API document is made from them."""

from dataclasses import dataclass
from datetime import date, datetime

# Names end in "_" where the plain word is one of the language's own; the document has the plain word.


@dataclass(frozen=True, slots=True)
class StretchDoc:
    """What one person does of a stage on one day: first and last minute, and the minutes at it between."""

    person: int
    stage: int
    job: int
    tag: str
    name: str
    from_: datetime
    until: datetime
    minutes: float
    goes_on: bool


@dataclass(frozen=True, slots=True)
class PlannedDayDoc:
    """A day of the shop's on which somebody is at work, and the work planned for it."""

    on: date
    work: tuple[StretchDoc, ...]


@dataclass(frozen=True, slots=True)
class PlannedStageDoc:
    """A stage, or one round of it, in its place; ``hands_until`` is when its people are free again.

    ``next_from``: what follows may begin then, where something cures; null where nothing does.
    """

    stage: int
    job: int
    tag: str
    name: str
    part: int
    people: tuple[int, ...]
    from_: datetime
    hands_until: datetime
    until: datetime
    next_from: datetime | None
    in_hand: bool


@dataclass(frozen=True, slots=True)
class PlannedJobDoc:
    """A job against its date: ``days`` are working days late, below nought early; null: no date."""

    job: int
    tag: str
    promised_on: date | None
    must_keep: bool
    ready: datetime | None
    days: int | None
    late: bool
    whole: bool


@dataclass(frozen=True, slots=True)
class NotPlannedDoc:
    """What is not in the plan, or comes too late in it, in a plain sentence."""

    job: int | None
    stages: tuple[int, ...]
    words: str


@dataclass(frozen=True, slots=True)
class PlanDoc:
    """The plan that is shown, at this revision; another ``number`` means that another may be shown.

    ``stale``: made for the log as it was earlier; a better one is looked for.
    """

    database_id: str
    revision: int
    now: datetime
    number: int
    made_at: datetime
    proven: bool
    stale: bool
    days: tuple[PlannedDayDoc, ...]
    stages: tuple[PlannedStageDoc, ...]
    jobs: tuple[PlannedJobDoc, ...]
    not_planned: tuple[NotPlannedDoc, ...]
    missed: tuple[NotPlannedDoc, ...]


@dataclass(frozen=True, slots=True)
class NextDoc:
    """What is next for a person by the plan, from when on (null: now), and why; nulls: nothing is."""

    person: int
    name: str
    stage: int | None
    job: int | None
    tag: str | None
    stage_name: str | None
    from_: datetime | None
    why: str | None


@dataclass(frozen=True, slots=True)
class NextsDoc:
    """What is next for everybody who works here, by the plan of this number."""

    database_id: str
    revision: int
    now: datetime
    number: int
    people: tuple[NextDoc, ...]
