"""The form of a new job: a pattern's measures to show, and what was typed to a job to make."""

from dataclasses import dataclass
from typing import TypedDict

from sqlalchemy.orm import Session

from shoptrack.errors import BadInput
from shoptrack.flows.jobs import NewJob
from shoptrack.store.customers import names_to_choose
from shoptrack.store.db import Store
from shoptrack.store.jobs import newest_job
from shoptrack.store.patterns import list_patterns, newest_revision
from shoptrack.store.shop import every_kind
from shoptrack.store.tables import PatternRevisionRow
from shoptrack.web import forms
from shoptrack.web.forms import Fields

LAST_PATTERN = "pattern"


@dataclass(frozen=True, slots=True)
class Measured:
    """A stage of the pattern with the measure it has by itself: a fixed part and one for each piece."""

    position: int
    name: str
    unit: str
    fixed: float
    per_piece: float


class Shown(TypedDict):
    """What the form's template is given beside what was typed."""

    patterns: tuple[tuple[int, str], ...]
    chosen: int | None
    stages: tuple[Measured, ...]
    customers: tuple[str, ...]
    after: int


def shown_pattern(store: Store, chosen: str) -> Shown:
    """The patterns to choose from, and the measures of the chosen one (the only one chosen by itself)."""
    with store.reading() as session:
        patterns = tuple((p.id, p.name) for p in list_patterns(session))
        ids = {str(p): p for p, _ in patterns}
        pattern = ids.get(chosen, patterns[0][0] if len(patterns) == 1 else None)
        revision = None if pattern is None else newest_revision(session, pattern)
        return Shown(
            patterns=patterns,
            chosen=pattern,
            stages=measures_of(session, revision),
            customers=names_to_choose(session),
            after=newest_job(session),
        )


def measures_of(session: Session, revision: PatternRevisionRow | None) -> tuple[Measured, ...]:
    """The measures of a pattern's revision, stage by stage. Empty: of no pattern none."""
    if revision is None:
        return ()
    kinds = every_kind(session)
    return tuple(
        Measured(s.position, s.name, kinds[s.kind_id].unit, s.fixed, s.per_piece) for s in revision.stages
    )


def read_new_job(fields: Fields, currency: str) -> NewJob:
    """The job that was asked for. Raises BadInput with the field that is wrong."""
    if not fields.get("pattern"):
        raise BadInput("Choose a pattern.", "pattern")
    return NewJob(
        pattern=forms.whole(fields, "pattern", "The pattern", most=2**31),
        title=forms.words(fields, "title", "What it is"),
        customer=forms.words(fields, "customer", "The customer"),
        pieces=forms.whole(fields, "pieces", "The number of pieces"),
        promised_on=forms.maybe_day(fields, "promised_on", "The promised date"),
        must_keep=bool(fields.get("must_keep")),
        price_cents=forms.maybe_cents(fields, "price", currency),
        notes=forms.maybe_words(fields, "notes", "The note", forms.LONGEST_NOTE),
        measures={
            int(name.removeprefix("measure-")): value
            for name in fields
            if name.startswith("measure-") and name.removeprefix("measure-").isdigit()
            if (value := forms.measure(fields, name, "A measure")) is not None
        },
        new_customer=bool(fields.get("new_customer")),
        after=forms.whole(fields, "after", "The form", 0, 2**31) if fields.get("after") else None,
    )
