"""Rounds, recipes and warmth → the marks of each round, what ends soon, and which joints are in doubt."""

from collections.abc import Iterable, Mapping
from datetime import datetime, time, timedelta
from functools import lru_cache

from shoptrack.engine import cure, warmth
from shoptrack.engine.shapes import (
    FAR,
    Calendar,
    Cure,
    MarkTime,
    OffDays,
    Offer,
    Overtime,
    Question,
    Reading,
    Recipe,
    Replayed,
    Role,
    Room,
    RoomProfile,
    Round,
    Stage,
    Standing,
    Until,
    Week,
    World,
    in_force,
)

MATTERS = timedelta(days=21)
"""A round older than this, of a stage that is done, is no longer reckoned: finishes cure in 2–3 weeks."""

MISSED_SHOWN = timedelta(days=3)
"""How long a missed mark is still shown when nobody says anything."""

SOUND_REDO = (Offer("sound", "tested: it is sound"), Offer("redo", "do it again"))

_MIDNIGHT = time(0)
_EVEN = RoomProfile((20.0,) * 12, (20.0,) * 12, _MIDNIGHT, _MIDNIGHT)
_SOMEWHERE = Room(0, "the shop", ((FAR, _EVEN),))

RoundCures = tuple[tuple[Round, Cure], ...]


def round_cures(replayed: Replayed, world: World, stage: int) -> RoundCures:
    """Each round of a stage that still matters, with its marks.

    Empty: a stage without glue or finish, or without rounds, has none.
    """
    planned = world.stages[stage]
    if not planned.recipes:
        return ()
    room = room_of(world, planned)
    readings = tuple(r for r in replayed.readings if r.room == room.id)
    return tuple(
        (made, _reckon(world.calendar, in_force(planned.recipes, made.cured_from), room, readings, made))
        for passed in replayed.passes[stage]
        for made in passed.rounds
        if passed.finished_at is None or made.cured_from > replayed.now - MATTERS
    )


def room_of(world: World, stage: Stage) -> Room:
    """The room a stage cures in: its own, its station's, else the shop's first; without rooms 20 °C."""
    station = world.stations.get(stage.station) if stage.station is not None else None
    for number in (stage.room, station.room if station is not None else None, min(world.rooms, default=None)):
        if number is not None and number in world.rooms:
            return world.rooms[number]
    return _SOMEWHERE


def _reckon(
    calendar: Calendar, recipe: Recipe, room: Room, readings: tuple[Reading, ...], made: Round
) -> Cure:
    near = tuple(r for r in readings if r.at > made.cured_from - timedelta(days=1))
    extra = tuple(o for o in calendar.overtime if o.person is None)
    return _remembered(recipe, room, near, calendar.zone, calendar.shop, calendar.off, extra, made.cured_from)


@lru_cache(maxsize=4096)
def _remembered(
    recipe: Recipe,
    room: Room,
    readings: tuple[Reading, ...],
    zone: str,
    shop: tuple[Week, ...],
    off: tuple[OffDays, ...],
    extra: tuple[Overtime, ...],
    cured_from: datetime,
) -> Cure:
    return cure.reckon(recipe, room, readings, Calendar(zone, shop, {}, off, extra), cured_from)


def gate_at(cures: RoundCures, redos: Iterable[int]) -> datetime | None:
    """The instant from which what follows may start on the rounds of some passes; None: no mark gates it."""
    wanted = set(redos)
    gates = [g for r, c in cures if r.redo in wanted and (g := c.gate_at()) is not None]
    return max(gates, default=None)


def own_gate_at(cures: RoundCures) -> datetime | None:
    """The instant from which the next coat may go on the last one; None where no mark says so."""
    if not cures:
        return None
    marks = [m for m in cures[-1][1].marks if m.mark.role == "recoat" and m.mark.gates]
    return max((m.from_at or FAR for m in marks), default=None)


def in_doubt(made: Round, cured: Cure, now: datetime) -> bool:
    """Whether a round was too cold in the clamps and nobody has judged it."""
    return cured.doubtful_at is not None and cured.doubtful_at <= now and not made.judged


def opens_at(cured: Cure, role: Role) -> datetime | None:
    """The instant at which a mark of a role opens; None where there is none or it is beyond reckoning."""
    return next((m.from_at for m in cured.marks if m.mark.role == role), None)


def untils(standings: Mapping[int, Standing], now: datetime) -> tuple[Until, ...]:
    """The marks that end and that somebody must still meet, soonest first; missed ones stay three days.

    A wipe or scrape is met when somebody says so or a later round is on; a scrape also when the clamps are
    off; a recoat when the next round is on or the stage is finished.
    """
    found = [
        Until(s.stage, made, mark, missed=mark.until_at <= now)
        for s in standings.values()
        for made, cured in s.cures
        for mark in cured.marks
        if mark.until_at is not None and now - MISSED_SHOWN < mark.until_at and _still_open(s, made, mark)
    ]
    return tuple(sorted(found, key=lambda u: (u.mark.until_at or FAR, u.stage)))


def _still_open(standing: Standing, made: Round, mark: MarkTime) -> bool:
    if mark.mark.role in made.tended:
        return False
    work = standing.work
    later = any(r.number > made.number for r in work.rounds) or made.redo != work.redo
    if mark.mark.role == "recoat":
        return not later and work.finished_at is None and work.count_done < work.quantity
    return not later and made.unclamped_at is None


def cure_questions(
    standings: Mapping[int, Standing], replayed: Replayed, world: World
) -> tuple[Question, ...]:
    """The joints that somebody must judge: too cold in the clamps, or closed past the open time."""
    asked = []
    for standing in standings.values():
        for made, cured in standing.cures:
            if made.judged or made.assumed:
                continue
            if in_doubt(made, cured, replayed.now):
                words = "doubtful joint, it was too cold in the clamps. Test it or redo it"
                asked.append(_doubt(world, made, "doubtful-joint", words))
            elif _past_open_time(replayed, world, made):
                words = "closed after the open time of the glue. Test the joint or redo it"
                asked.append(_doubt(world, made, "open-time", words))
    return tuple(asked)


def _doubt(world: World, made: Round, asks: str, words: str) -> Question:
    stage = world.stages[made.stage]
    text = f"{stage.name}: {words}."
    return Question(made.entry, asks, text, SOUND_REDO, made.cured_from, stages=(stage.id,), job=stage.job)


def _past_open_time(replayed: Replayed, world: World, made: Round) -> bool:
    stage = world.stages[made.stage]
    if made.spread_at is None or made.spread_at > made.cured_from:
        return False
    room = room_of(world, stage)
    readings = [r for r in replayed.readings if r.room == room.id]
    c = warmth.warmth(room, readings, world.calendar, made.spread_at).c
    ends_at = cure.open_until(in_force(stage.recipes, made.spread_at), c, made.spread_at)
    return ends_at is not None and made.cured_from > ends_at
