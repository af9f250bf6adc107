"""What replay says of some stages → the stretches of work in it: who, on what, when and how many minutes."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from shoptrack.engine.replay import live_entries
from shoptrack.engine.shapes import Entry, Pass, Replayed, Stage, Stint, World

_NEXT_TO_NOTHING_MIN = 1e-6


@dataclass(frozen=True, slots=True)
class Work:
    """Minutes of one person's hands on one pass of a stage, from ``start`` to ``end``.

    ``person`` None: nobody was named. What somebody said afterwards (help, mending, a finish without a
    start) has its instant as both. ``redo`` above nought: done again for spoiled pieces.
    """

    person: int | None
    job: int
    stage: int
    redo: int
    start: datetime
    end: datetime
    minutes: float
    mending: bool = False

    def within(self, first_at: datetime, until_at: datetime) -> "Work | None":
        """The part of it that lies in [first_at, until_at), its minutes by the clock; None: no part."""
        start, end = max(self.start, first_at), min(self.end, until_at)
        if self.start == self.end:
            return self if first_at <= self.start < until_at else None
        if start >= end:
            return None
        share = (end - start) / (self.end - self.start)
        return replace(self, start=start, end=end, minutes=self.minutes * share)


def work_done(
    replayed: Replayed, entries: Iterable[Entry], world: World, jobs: Collection[int]
) -> tuple[Work, ...]:
    """All work on the stages of some jobs, as far as it counts.

    Takes what was replayed, the entries it was replayed from (struck and moved ones included), and the
    world. Gives stretches whose minutes add up to the attended and mended minutes of the passes. Empty:
    nobody did anything yet.
    """
    said = _said(entries)
    found: list[Work] = []
    for stage_id, passes in replayed.passes.items():
        stage = world.stages.get(stage_id)
        if stage is not None and stage.job in jobs:
            found += _of_stage(stage, passes, said.get(stage_id, ()), world)
    return tuple(found)


def _said(entries: Iterable[Entry]) -> Mapping[int, list[Entry]]:
    """The entries that count and name people or minutes by themselves, by the stages they speak of."""
    by_stage: dict[int, list[Entry]] = defaultdict(list)
    for e in live_entries(entries):
        if e.kind in ("help", "mend", "finish"):
            for stage in e.stages:
                by_stage[stage].append(e)
    return by_stage


def _of_stage(stage: Stage, passes: Sequence[Pass], said: Sequence[Entry], world: World) -> Iterator[Work]:
    for work in passes:
        yield from (w for stint in work.stints for w in _of_stint(work, stint))
    helps = [e for e in said if e.kind == "help" and e.helper is not None and e.minutes]
    helped: dict[int, float] = defaultdict(float)
    for e in helps:
        redo = _redo_at(passes, e.at)
        minutes = (e.minutes or 0.0) * _share(stage, e, world)
        helped[redo] += minutes
        yield Work(e.helper, stage.job, stage.id, redo, e.at, e.at, minutes)
    for work in passes:
        left = work.attended_min - sum(s.attended_min for s in work.stints) - helped[work.redo]
        if left > _NEXT_TO_NOTHING_MIN and work.finished_at is not None:
            yield _finished(work, left, said)
        yield from _mended(work, passes, said)


def _of_stint(work: Pass, stint: Stint) -> Iterator[Work]:
    """A stint as its intervals that count, its minutes shared among them by their length."""
    spans = [(a, b) for a, b in stint.counted if b > a]
    if not spans:
        if stint.attended_min > 0:  # somebody said how long it was, of a time at which nobody works
            yield Work(
                stint.person, work.job, stint.stage, work.redo, stint.start, stint.start, stint.attended_min
            )
        return
    whole = sum((b - a).total_seconds() for a, b in spans)
    for a, b in spans:
        share = (b - a).total_seconds() / whole
        yield Work(stint.person, work.job, stint.stage, work.redo, a, b, stint.attended_min * share)


def _finished(work: Pass, minutes: float, said: Sequence[Entry]) -> Work:
    """What was said of a finish without a start, in the name of who finished."""
    at = work.finished_at
    assert at is not None  # asked for finished passes alone
    who = next((e.person for e in said if e.kind == "finish" and e.at == at), None)
    return Work(who, work.job, work.stage, work.redo, at, at, minutes)


def _mended(work: Pass, passes: Sequence[Pass], said: Sequence[Entry]) -> Iterator[Work]:
    for e in said:
        if e.kind == "mend" and e.minutes and _redo_at(passes, e.at) == work.redo:
            yield Work(e.person, work.job, work.stage, work.redo, e.at, e.at, e.minutes, mending=True)


def _redo_at(passes: Sequence[Pass], at: datetime) -> int:
    """The pass that an entry about a stage belonged to: the last that had been begun by then."""
    begun = [p.redo for p in passes if p.started_at is not None and p.started_at <= at]
    return begun[-1] if begun else passes[0].redo


def _share(stage: Stage, e: Entry, world: World) -> float:
    """A stage's part of help given to several done together: by rule of thumb, as replay shares it."""
    weights = {s: _usual(world.stages[s], e.at) for s in e.stages if s in world.stages}
    return weights[stage.id] / sum(weights.values())


def _usual(stage: Stage, at: datetime) -> float:
    return (stage.rule_min(at) if stage.rule else 0.0) or 1.0
