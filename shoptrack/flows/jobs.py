"""Jobs with where they stand become the list of story sticks, a job's page, and a new job."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from shoptrack.engine.hours import local
from shoptrack.engine.shapes import Aside, Cure, Job, Round, Spoil, Stage, Standing
from shoptrack.errors import BadInput, NotFound
from shoptrack.flows.book import BookLine, book_of
from shoptrack.flows.choices import Because, because
from shoptrack.flows.let_go import let_go
from shoptrack.flows.places import cautions_of
from shoptrack.flows.shopfloor import Sight
from shoptrack.flows.usual import whole_min
from shoptrack.store.customers import customer_meant
from shoptrack.store.db import Store
from shoptrack.store.edits import note_made
from shoptrack.store.jobs import add_job, close_job, job_made_since, job_row, reopen_job
from shoptrack.store.patterns import newest_revision


@dataclass(frozen=True, slots=True)
class Step:
    """A stage on a job's stick: its place, state and what it waits for, and the minutes so far.

    ``usual_min`` is of the whole stage. ``redos`` are passes after spoiled pieces.
    ``rounds`` carry their marks.
    """

    stage: Stage
    number: int
    state: str
    until_at: datetime | None
    waits: tuple[Because, ...]
    people: tuple[str, ...]
    usual_min: float
    attended_min: float
    machine_min: float
    mend_min: float
    mend_cents: int
    count_done: float
    quantity: float
    redos: int
    doubtful: bool
    rounds: tuple[tuple[Round, Cure], ...]
    aside: Aside | None
    cautions: tuple[str, ...]
    station: str
    clamps: tuple[tuple[int, str], ...]
    spoils: tuple[Spoil, ...]
    ready_count: float


@dataclass(frozen=True, slots=True)
class JobLine:
    """A job with its stages in order: a line of the list. ``late``: the promised day is over."""

    job: Job
    steps: tuple[Step, ...]
    late: bool

    @property
    def done(self) -> bool:
        """Whether every stage is done, so that the job can be closed."""
        return bool(self.steps) and all(s.state == "done" for s in self.steps)

    @property
    def telling(self) -> tuple[Step, ...]:
        """The stages that say where the job stands: in hand, running, curing, set down, put aside, ready."""
        order = ("in hand", "running", "curing", "set down", "ready", "put aside")
        found = [s for s in self.steps if s.state in order]
        return tuple(sorted(found, key=lambda s: (order.index(s.state), s.number)))

    @property
    def pencil(self) -> Step | None:
        """The stage that the pencil mark is at: the first that is worked on, else the first not done."""
        at = next((s for s in self.steps if s.state in ("in hand", "running")), None)
        return at or next((s for s in self.steps if s.state != "done"), None)


@dataclass(frozen=True, slots=True)
class JobView:
    """A job's page."""

    line: JobLine
    book: tuple[BookLine, ...]
    people: tuple[tuple[int, str], ...]
    attended_min: float
    usual_min: float
    machine_min: float
    mend_cents: int


def open_lines(sight: Sight) -> tuple[JobLine, ...]:
    """The jobs in progress, first promised first. Empty: no open job."""
    found = [j for j in sight.world.jobs.values() if j.closed_at is None]
    ordered = sorted(found, key=lambda j: (j.promised_on or date.max, j.tag))
    return tuple(line_of(sight, job) for job in ordered)


def line_of(sight: Sight, job: Job) -> JobLine:
    """One job with its stages."""
    today = local(sight.world.calendar, sight.now).date()
    late = job.promised_on is not None and job.promised_on < today and job.closed_at is None
    return JobLine(job, tuple(_step(sight, s, n) for n, s in enumerate(sight.stages_of(job.id), 1)), late)


def _step(sight: Sight, standing: Standing, number: int) -> Step:
    stage, world = sight.world.stages[standing.stage], sight.world
    passes = sight.replayed.passes[stage.id]
    return Step(
        stage=stage,
        number=number,
        state=standing.state,
        until_at=standing.until_at,
        waits=tuple(because(world, stage, w) for w in standing.waits),
        people=tuple(world.people[p].name for p in standing.people if p in world.people),
        usual_min=whole_min(sight, stage),
        attended_min=sum(p.attended_min for p in passes),
        machine_min=sum(p.machine_min for p in passes),
        mend_min=sum(p.mend_min for p in passes),
        mend_cents=sum(p.mend_cents for p in passes),
        count_done=standing.work.count_done,
        quantity=standing.work.quantity,
        redos=len(passes) - 1,
        doubtful=standing.doubtful,
        rounds=standing.cures,
        aside=sight.replayed.asides.get(stage.id),
        cautions=cautions_of(stage, sight.now),
        station=world.stations[stage.station].name if stage.station is not None else "",
        clamps=tuple((c.count, world.pools[c.pool].name) for c in stage.clamps if c.pool in world.pools),
        spoils=tuple(s for s in sight.replayed.spoils if s.found_at == stage.id),
        ready_count=standing.ready_count,
    )


def job_view(sight: Sight, job_id: int) -> JobView:
    """A job's page. Raises NotFound for a job that is not there."""
    job = sight.world.jobs.get(job_id)
    if job is None:
        raise NotFound("There is no such job.")
    line = line_of(sight, job)
    gone = [p for s in sight.removed_of(job_id) for p in sight.replayed.passes[s.id]]
    return JobView(
        line=line,
        book=book_of(sight, job_id),
        people=tuple((p.id, p.name) for p in sight.world.people.values() if not p.retired),
        attended_min=sum(s.attended_min for s in line.steps) + sum(p.attended_min for p in gone),
        usual_min=sum(s.usual_min for s in line.steps if s.stage.attendance != "none"),
        machine_min=sum(s.machine_min for s in line.steps) + sum(p.machine_min for p in gone),
        mend_cents=sum(s.mend_cents for s in line.steps) + sum(p.mend_cents for p in gone),
    )


@dataclass(frozen=True, slots=True)
class NewJob:
    """What was asked for: a pattern, the order's words, and the measures that differ, by stage position.

    ``customer`` is a name that was typed or chosen; ``new_customer`` adds one though others have that name.
    ``after`` is the newest job's number when the form was shown.
    """

    pattern: int
    title: str
    customer: str
    pieces: int
    promised_on: date | None
    must_keep: bool
    price_cents: int | None
    notes: str
    measures: Mapping[int, float]
    new_customer: bool = False
    after: int | None = None


def add(store: Store, asked: NewJob, now: datetime, who: int | None = None) -> int:
    """Add a job from the newest revision of a pattern and give its number; sent twice it is added once.

    Raises BadInput for a pattern that is not there, a measure it does not have, or a customer who could be
    one of several.
    """
    with store.writing() as session:
        revision = newest_revision(session, asked.pattern)
        if revision is None:
            raise BadInput("There is no such pattern.", "pattern")
        if asked.after is not None and (made := _made_since(session, asked, revision.id)) is not None:
            return made
        row = add_job(
            session,
            title=asked.title,
            customer=customer_meant(session, asked.customer, asked.new_customer).id,
            pieces=asked.pieces,
            promised_on=asked.promised_on,
            must_keep=asked.must_keep,
            price_cents=asked.price_cents,
            notes=asked.notes,
            quantities=asked.measures,
            revision_id=revision.id,
            now=now,
        )
        note_made(session, row, who, now)
        return row.id


def _made_since(session: Session, asked: NewJob, revision: int) -> int | None:
    """The job that this very form made already."""
    return job_made_since(
        session,
        asked.after or 0,
        title=asked.title,
        pieces=asked.pieces,
        promised_on=asked.promised_on,
        price_cents=asked.price_cents,
        notes=asked.notes,
        pattern_revision_id=revision,
    )


def set_closed(store: Store, job_id: int, closed: bool, who: int | None, now: datetime) -> None:
    """Take a job off the open ones, or put it back; said again it changes nothing. Raises NotFound.

    Whoever has a job in hand that is closed is taken off it.
    """
    if closed:
        let_go(store, job_id, now)
    with store.writing() as session:
        is_closed = job_row(session, job_id).closed_at is not None
        if closed and not is_closed:
            close_job(session, job_id, now, who)
        elif is_closed and not closed:
            reopen_job(session, job_id, now, who)
