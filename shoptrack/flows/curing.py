"""The rounds that cure become rows to draw: clamps until when, the marks still to come, joints in doubt."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from shoptrack.engine.marks import opens_at
from shoptrack.engine.shapes import FAR, Cure, MarkTime, Round, Standing
from shoptrack.flows.places import Place, place_of
from shoptrack.flows.shopfloor import Sight

JOIN_WITHIN = timedelta(minutes=60)
LONG_AFTER = ("full strength", "food contact")  # said on the job's page; nobody waits at the bench for them


@dataclass(frozen=True, slots=True)
class Coming:
    """A mark still to come: ``from_at`` it opens, ``until_at`` it ends where it does."""

    name: str
    role: str
    from_at: datetime
    until_at: datetime | None


@dataclass(frozen=True, slots=True)
class CuringRow:
    """One round that cures: clamps held and from when they may come off, then what comes after.

    ``off_at`` None with clamps held: beyond reckoning. ``may_off``: that instant is reached. ``doubtful``: a
    joint that somebody must judge. ``assumed``: nobody said "closed". ``by`` is where the warmth comes from.
    """

    place: Place
    since: datetime
    clamps: int
    off_at: datetime | None
    may_off: bool
    marks: tuple[Coming, ...]
    doubtful: bool
    coldest_c: float | None
    assumed: bool
    slowed: bool
    by: str

    @property
    def last_at(self) -> datetime | None:
        """The last instant that is drawn."""
        ends = [m.from_at for m in self.marks] + ([self.off_at] if self.off_at and self.clamps else [])
        return max(ends, default=None)


def curing_rows(sight: Sight) -> tuple[CuringRow, ...]:
    """All rounds that cure, hold clamps or are in doubt, by what comes next; doubtful ones first."""
    rows = [row for s in sight.standings.values() for row in _joined(list(_rows(sight, s)))]
    return tuple(sorted(rows, key=_order))


def _joined(rows: list[CuringRow]) -> list[CuringRow]:
    """Rounds of one stage that are out of the clamps and ready within the hour of each other, as one row."""
    joined: list[CuringRow] = []
    for row in rows:
        before = joined[-1] if joined else None
        if before is not None and _alike(before, row):
            under = 0.0 if row.place.coats else before.place.count or 0.0
            count = under + (row.place.count or 0.0)
            joined[-1] = replace(row, place=replace(row.place, count=count), since=before.since)
        else:
            joined.append(row)
    return joined


def _alike(before: CuringRow, row: CuringRow) -> bool:
    plain = all(not r.clamps and not r.doubtful and not r.assumed and r.last_at for r in (before, row))
    near = abs((row.last_at or FAR) - (before.last_at or FAR)) <= JOIN_WITHIN
    return plain and near and row.place.count is not None


def _order(row: CuringRow) -> tuple[bool, datetime, str]:
    nearest = [m.from_at for m in row.marks] + ([row.off_at] if row.off_at and row.clamps else [])
    return (not row.doubtful, min(nearest, default=FAR), row.place.tag)


def _rows(sight: Sight, standing: Standing) -> Iterator[CuringRow]:
    if standing.state == "curing" and not standing.cures and standing.until_at is not None:
        yield _rest(sight, standing, standing.until_at)
    for made, cured in standing.cures:
        row = _row(sight, made, cured)
        if row.marks or row.clamps or row.doubtful:
            yield row


def _rest(sight: Sight, standing: Standing, until_at: datetime) -> CuringRow:
    place = place_of(sight, standing.stage)
    since = standing.work.started_at or sight.now
    ends = (Coming("rested", "work", until_at, None),)
    return CuringRow(place, since, 0, None, False, ends, False, None, False, False, "usual")


def _row(sight: Sight, made: Round, cured: Cure) -> CuringRow:
    clamps = sum(n for _, n in made.clamps)
    off_at = opens_at(cured, "clamps off")
    doubtful = cured.doubtful and not made.judged
    return CuringRow(
        place=place_of(sight, made.stage, made),
        since=made.cured_from,
        clamps=clamps,
        off_at=off_at,
        may_off=off_at is not None and off_at <= sight.now,
        marks=tuple(_coming(m) for m in cured.marks if _to_come(m, sight.now)),
        doubtful=doubtful,
        coldest_c=cured.coldest_c if doubtful else None,
        assumed=made.assumed,
        slowed=any(m.slowed for m in cured.marks),
        by=cured.by,
    )


def _to_come(mark: MarkTime, now: datetime) -> bool:
    wanted = mark.mark.gates or mark.mark.role not in (*LONG_AFTER, "clamps off", "wipe", "scrape")
    return (
        wanted
        and mark.mark.role != "clamps off"
        and mark.mark.from_min is not None
        and (mark.from_at is None or mark.from_at > now)
    )


def _coming(mark: MarkTime) -> Coming:
    return Coming(mark.mark.name, mark.mark.role, mark.from_at or FAR, mark.until_at)
