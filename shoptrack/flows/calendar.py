"""How the shop stands, and its plan → what a calendar on a phone shows; no customer, no price."""

from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

from shoptrack.engine.shapes import Cure, MarkTime, Role, Round, Standing
from shoptrack.errors import NotFound
from shoptrack.flows.places import place_of
from shoptrack.flows.planning.lanes import Names, Piece, pieces_of
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.shopfloor import Sight, shown_at, sight_of
from shoptrack.store.db import Store
from shoptrack.store.feed import written_at
from shoptrack.store.signs import read_signs

PLANNED_DAYS = timedelta(days=14)
"""So far ahead a person's own calendar has what is planned for them."""

What = Literal["from", "by", "rested", "promised", "look again"]


@dataclass(frozen=True, slots=True)
class Due:
    """One line of the calendar: an instant (``at``) or a whole day of the shop's (``on``).

    ``key`` is the same as long as it is the same line: a mark of a round keeps it when the mark moves.
    ``stage`` is empty where the whole job is meant. ``count`` of ``quantity`` where one round is meant.
    """

    key: str
    what: What
    tag: str
    stage: str = ""
    role: Role | None = None
    count: float | None = None
    quantity: float = 0.0
    doubtful: bool = False
    must_keep: bool = False
    at: datetime | None = None
    on: date | None = None


@dataclass(frozen=True, slots=True)
class Turn:
    """What is planned for a person of a stage on one day; a plan, which the next tap may change.

    ``key`` stays while the plan moves it: it names the stage, its round and which of its days it is.
    """

    key: str
    tag: str
    stage: str
    part: str
    from_at: datetime
    to_at: datetime


@dataclass(frozen=True, slots=True)
class Feed:
    """The calendar as of one head of the database.

    ``made_at`` is when the shop was set up, ``written_at`` the last write: equal heads have equal ones.
    ``turns`` are of a person's own calendar, named by ``whose``, which has nothing else.
    """

    shop: str
    made_at: datetime
    written_at: datetime
    revision: int
    dues: tuple[Due, ...]
    whose: str = ""
    turns: tuple[Turn, ...] = ()


def calendar_feed(store: Store, now: datetime) -> Feed | None:
    """The calendar of all open jobs. Empty: None before the shop is set up."""
    with store.reading() as session:
        signs = read_signs(session)
        written = written_at(session)
        if signs.shop is None or written is None:
            return None
        sight = sight_of(store, session, shown_at(now, signs.newest_at), at=signs.head)
    return Feed(signs.shop.name, signs.shop.made_at, written, signs.head.revision, dues_of(sight))


def person_feed(store: Store, person: int, now: datetime) -> Feed | None:
    """The calendar of one person: what is planned for them in the coming fourteen days.

    Empty: None before the shop is set up. Raises NotFound for somebody who does not work here.
    """
    with store.reading() as session:
        signs = read_signs(session)
        written = written_at(session)
        if signs.shop is None or written is None:
            return None
        sight = sight_of(store, session, shown_at(now, signs.newest_at), at=signs.head)
    who = sight.world.people.get(person)
    if who is None or who.retired:
        raise NotFound("There is nobody of that name who works here.")
    planned = plan_now(store, sight)
    turns = turns_of(
        sight, person, pieces_of(sight, planned.laid, planned.plan, Names(sight, planned.laid, planned.plan))
    )
    made_at = max(written, planned.made_at)
    return Feed(signs.shop.name, signs.shop.made_at, made_at, signs.head.revision, (), who.name, turns)


def turns_of(
    sight: Sight, person: int, pieces: Mapping[tuple[int, date], Sequence[Piece]]
) -> tuple[Turn, ...]:
    """What a person is given in the coming fourteen days, in order."""
    found, days = [], Counter[tuple[int, str]]()
    for _, on in sorted(key for key in pieces if key[0] == person):
        for piece in pieces[person, on]:
            named = piece.named
            days[named.stage, named.part] += 1
            key = f"plan {person} {named.stage} {named.part} {days[named.stage, named.part]}"
            if piece.from_at < sight.now + PLANNED_DAYS:
                found.append(Turn(key, named.tag, named.name, named.part, piece.from_at, piece.to_at))
    return tuple(found)


def dues_of(sight: Sight) -> tuple[Due, ...]:
    """Clocks that end, promised days and days to look again, in an order that a state always gives."""
    open_jobs = [j for j in sight.world.jobs.values() if j.closed_at is None]
    promised = (
        Due(f"promised {j.id}", "promised", j.tag, must_keep=j.must_keep, on=j.promised_on)
        for j in open_jobs
        if j.promised_on is not None
    )
    marks = (due for s in sight.standings.values() for due in _of_stage(sight, s))
    return tuple(sorted((*promised, *_look_again(sight), *marks), key=lambda due: due.key))


def _of_stage(sight: Sight, standing: Standing) -> Iterator[Due]:
    if standing.state == "curing" and not standing.cures and standing.until_at is not None:
        place = place_of(sight, standing.stage)
        key = f"rest {standing.stage} {standing.work.redo}"
        yield Due(key, "rested", place.tag, place.name, at=standing.until_at)
    for made, cured in standing.cures:
        yield from _of_round(sight, made, cured)


def _of_round(sight: Sight, made: Round, cured: Cure) -> Iterator[Due]:
    """What ends of one round: marks that the next step waits for, clamps, marks that must be met."""
    unmet = {u.mark for u in sight.untils if u.round == made and u.stage == made.stage}
    for nth, mark in enumerate(cured.marks):
        if _is_waited_for(mark, made) and mark.from_at is not None:
            yield _mark(sight, made, cured, nth, "from", mark.from_at)
        if mark in unmet and mark.until_at is not None:
            yield _mark(sight, made, cured, nth, "by", mark.until_at)


def _is_waited_for(mark: MarkTime, made: Round) -> bool:
    """Whether somebody waits for a mark to open; clamps only as long as they are on."""
    return bool(made.clamps) if mark.mark.role == "clamps off" else mark.mark.gates


def _mark(sight: Sight, made: Round, cured: Cure, nth: int, what: What, at: datetime) -> Due:
    place, role = place_of(sight, made.stage, made), cured.marks[nth].mark.role
    same = sum(1 for m in cured.marks[:nth] if m.mark.role == role)
    return Due(
        key=f"mark {made.stage} {made.entry} {role} {same} {what}",
        what=what,
        tag=place.tag,
        stage=place.name,
        role=role,
        count=place.count,
        quantity=place.quantity,
        doubtful=cured.doubtful and not made.judged,
        at=at,
    )


def _look_again(sight: Sight) -> Iterator[Due]:
    """The days to look again: a job put aside whole is one line, not one for each of its stages."""
    days: dict[tuple[int, date], list[int]] = defaultdict(list)
    for aside in sight.replayed.asides.values():
        stage = sight.world.stages.get(aside.stage)
        if stage is not None and aside.look_again_on is not None:
            days[stage.job, aside.look_again_on].append(stage.id)
    for (job, on), stages in days.items():
        name = sight.world.stages[stages[0]].name if len(stages) == 1 else ""
        key = f"look again {job} {on.isoformat()}"
        yield Due(key, "look again", sight.world.jobs[job].tag, name, on=on)
