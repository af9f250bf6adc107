"""A job, and all that cures, to what is printed on paper: stages with all they need, marks by the hour."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from shoptrack.engine.shapes import FAR, Job, Need, Recipe, Stage, in_force
from shoptrack.flows.curing import CuringRow, curing_rows
from shoptrack.flows.floor import Miss, misses_of
from shoptrack.flows.jobs import Step, line_of
from shoptrack.flows.places import Place
from shoptrack.flows.shopfloor import Sight, gather, gather_job
from shoptrack.store.db import Store
from shoptrack.store.jobs import job_row
from shoptrack.store.last_times import LastTime, remembered
from shoptrack.store.tables import StageRow

COATS_DRAWN = 6  # more coats than this share their pencil boxes
ROUNDS_DRAWN = 3  # rounds are as uneven as the clamps; three lines are room for most


@dataclass(frozen=True, slots=True)
class After:
    """What must be done before a stage, by its number and name, with the waits between (minutes)."""

    number: int
    name: str
    by_rounds: bool
    least_wait_min: float
    greatest_wait_min: float | None


@dataclass(frozen=True, slots=True)
class SetOut:
    """Clamps to set out: how many of which, for the whole stage or for each piece of a round."""

    count: int
    name: str
    per_piece: bool


@dataclass(frozen=True, slots=True)
class StageSheet:
    """A stage as it is printed: what the plan says of it, what was said last time, and what is done.

    ``width_mm`` and ``length_mm`` are of the work as the station takes it. ``boxes`` are what the lines of
    pencil boxes are called; one without a name is the whole stage. Of a stage that is done, the times.
    """

    step: Step
    after: tuple[After, ...]
    width_mm: float | None
    length_mm: float | None
    clamps: tuple[SetOut, ...]
    tools: tuple[str, ...]
    recipe: Recipe | None
    settings: tuple[str, ...]
    cautions: tuple[str, ...]
    last: LastTime | None
    boxes: tuple[str, ...]
    started_at: datetime | None
    finished_at: datetime | None

    @property
    def stage(self) -> Stage:
        """The stage itself."""
        return self.step.stage


@dataclass(frozen=True, slots=True)
class JobSheet:
    """A job as it is printed, at an instant; no prices."""

    job: Job
    at: datetime
    stages: tuple[StageSheet, ...]


def job_sheet(store: Store, job_id: int, now: datetime) -> JobSheet:
    """The printed sheet of a job, open or closed. Raises NotFound for a job that is not there."""
    with store.reading() as session:
        rows = {row.id: row for row in job_row(session, job_id).stages}
        last = {stage: known.last for stage, known in remembered(session, list(rows)).items()}
    sight = gather_job(store, job_id, now)
    job = sight.world.jobs[job_id]
    steps = line_of(sight, job).steps
    numbers = {s.stage.id: s for s in steps}
    stages = (_stage(sight, s, rows[s.stage.id], last.get(s.stage.id), numbers) for s in steps)
    return JobSheet(job, sight.now, tuple(stages))


def _stage(
    sight: Sight, step: Step, row: StageRow, last: LastTime | None, numbers: Mapping[int, Step]
) -> StageSheet:
    stage, pools, passed = step.stage, sight.world.pools, sight.replayed.current(step.stage.id)
    recipe = in_force(stage.recipes, sight.now) if stage.recipes else None
    return StageSheet(
        step=step,
        after=tuple(_after(need, numbers[need.stage]) for need in stage.needs if need.stage in numbers),
        width_mm=row.width_mm,
        length_mm=row.length_mm,
        clamps=tuple(
            SetOut(c.count, pools[c.pool].name, c.per_piece) for c in stage.clamps if c.pool in pools
        ),
        tools=tuple(sight.world.tools[t] for t in stage.tools if t in sight.world.tools),
        recipe=recipe,
        settings=tuple(line.strip() for line in stage.settings.splitlines() if line.strip()),
        cautions=step.cautions,
        last=last,
        boxes=_boxes(step, recipe),
        started_at=passed.started_at,
        finished_at=passed.finished_at,
    )


def _after(need: Need, step: Step) -> After:
    return After(step.number, step.stage.name, need.by_rounds, need.least_wait_min, need.greatest_wait_min)


def _boxes(step: Step, recipe: Recipe | None) -> tuple[str, ...]:
    """What is left to pencil in: a line for the stage, for each coat to come, or for a few rounds."""
    if step.state == "done" or not step.stage.rounds:
        return ("",)
    coats = range(int(step.count_done) + 1, int(step.quantity) + 1)
    if recipe is not None and recipe.kind == "finish" and 1 <= len(coats) <= COATS_DRAWN:
        return tuple(f"coat {n}" for n in coats)
    first = len(step.rounds) + 1
    return tuple(f"round {n}" for n in range(first, first + ROUNDS_DRAWN))


@dataclass(frozen=True, slots=True)
class CuringLine:
    """One round on the list: ``row`` while it cures or is in doubt, ``musts`` the marks that must be met."""

    place: Place
    row: CuringRow | None
    musts: tuple[Miss, ...]

    @property
    def next_at(self) -> datetime:
        """The instant it is looked at next: a mark to meet or to come, clamps off; in doubt, since it is."""
        ends = [m.until_at for m in self.musts]
        if self.row is not None:
            ends += [m.from_at for m in self.row.marks]
            ends += [self.row.off_at] if self.row.clamps and self.row.off_at is not None else []
            ends += [self.row.since] if self.row.doubtful else []
        return min(ends, default=FAR)


@dataclass(frozen=True, slots=True)
class CuringList:
    """All that cures, as it is printed at an instant, by what comes next."""

    at: datetime
    lines: tuple[CuringLine, ...]


def curing_list(store: Store, now: datetime) -> CuringList:
    """The list of what is curing. Empty: nothing cures and no mark must be met."""
    sight = gather(store, now)
    left = list(misses_of(sight))
    lines = []
    for row in sorted(curing_rows(sight), key=lambda r: r.since, reverse=True):
        # of rounds that read alike the newest comes first, and only the newest has marks left to meet
        own = tuple(m for m in left if m.place == row.place)
        left = [m for m in left if m.place != row.place]
        lines.append(CuringLine(row.place, row, tuple(m for m in own if not _is_said(m, row))))
    alone = dict.fromkeys(m.place for m in left)
    lines += [CuringLine(place, None, tuple(m for m in left if m.place == place)) for place in alone]
    return CuringList(sight.now, tuple(sorted(lines, key=lambda x: (x.next_at, x.place.tag, x.place.stage))))


def _is_said(miss: Miss, row: CuringRow) -> bool:
    """Whether the row says the mark's end already, beside the instant from which it is open."""
    return any(m.role == miss.role and m.until_at == miss.until_at for m in row.marks)
