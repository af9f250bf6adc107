"""Replay and the marks of each round → where every stage stands and what it waits for."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from shoptrack.engine import hours
from shoptrack.engine.marks import RoundCures, gate_at, in_doubt, opens_at, own_gate_at, round_cures
from shoptrack.engine.shapes import FAR, Need, Pass, Replayed, Stage, Standing, State, Wait, World

_LONG_AGO = datetime.min.replace(tzinfo=FAR.tzinfo)

Say = Callable[..., Standing]


@dataclass(frozen=True)
class _Scene:
    """What every stage's standing is made from."""

    replayed: Replayed
    world: World
    now: datetime
    cures: Mapping[int, RoundCures]
    holders: Mapping[int, tuple[int, ...]]


def stand(replayed: Replayed, world: World) -> dict[int, Standing]:
    """Where each stage of the world stands at the replay's instant.

    Takes a replay and its world. Gives a standing by stage id; one that was taken out of its job has none.
    Empty: no stages, no standings.
    Method: a stage is complete when it was finished, or when all of its quantity is in closed rounds; its
    followers may start once the gating marks of its rounds are reached and no joint of it is in doubt.
    """
    scene = _Scene(
        replayed=replayed,
        world=world,
        now=replayed.now,
        cures={s: round_cures(replayed, world, s) for s, stage in world.stages.items() if not stage.removed},
        holders=_holders(replayed, world),
    )
    return {s: _standing(scene, stage) for s, stage in world.stages.items() if not stage.removed}


def _holders(replayed: Replayed, world: World) -> dict[int, tuple[int, ...]]:
    """Each station at which there is no more room, with the stages that have it."""
    at: dict[int, tuple[int, ...]] = {}
    for stage, passes in replayed.passes.items():
        station = world.stages[stage].station
        if station is not None and any(p.open_stints or p.running for p in passes):
            at[station] = (*at.get(station, ()), stage)
    room = {id_: station.places for id_, station in world.stations.items()}
    return {id_: stages[-room.get(id_, 1) :] for id_, stages in at.items() if len(stages) >= room.get(id_, 1)}


def complete(passed: Pass) -> bool:
    """Whether a pass has all of its quantity done: finished, or all of it in closed rounds."""
    whole = bool(passed.rounds) and passed.count_done >= passed.quantity > 0
    return passed.finished_at is not None or whole


def _standing(scene: _Scene, stage: Stage) -> Standing:
    work = scene.replayed.current(stage.id)
    people = tuple(s.person for s in work.open_stints)
    cures = scene.cures[stage.id]
    waits = _waits(scene, stage, work)
    ready = _ready_count(scene, stage, work)
    own = own_gate_at(tuple((r, c) for r, c in cures if r.redo == work.redo))

    def say(state: State, until: datetime | None = None, because: tuple[Wait, ...] = ()) -> Standing:
        return Standing(
            stage=stage.id,
            state=state,
            work=work,
            people=people,
            until_at=until,
            waits=because,
            ready_count=ready,
            doubtful=any(in_doubt(r, c, scene.now) for r, c in cures),
            cures=cures,
            own_gate_at=own,
        )

    if stage.id in scene.replayed.asides and work.finished_at is None:
        return say("put aside")
    if work.running:
        return say("running", run_ends_at(stage, work))
    if people:
        return say("in hand")
    if complete(work):
        return _after_the_last(scene, stage, say)
    if stage.attendance == "none":
        return _resting(scene, stage, work, say)
    if work.started_at is not None or work.rounds:
        return _between_rounds(scene, stage, say, own, waits)
    hard = tuple(w for w in waits if w.why not in ("station", "clamps"))
    if hard:
        return say("waiting", _all_known(hard), hard)
    return say("ready", None, waits)


def _all_known(waits: tuple[Wait, ...]) -> datetime | None:
    """The instant at which all waits are over, when all of them end by themselves."""
    ends = [w.until_at for w in waits if w.until_at is not None]
    return max(ends) if len(ends) == len(waits) else None


def _after_the_last(scene: _Scene, stage: Stage, say: Say) -> Standing:
    """A complete stage cures until its gating marks are reached; a joint in doubt is never simply done."""
    redos = range(len(scene.replayed.passes[stage.id]))
    gate = gate_at(scene.cures[stage.id], redos)
    if any(in_doubt(r, c, scene.now) for r, c in scene.cures[stage.id]):
        return say("curing", None)
    if gate is not None and gate > scene.now:
        return say("curing", None if gate == FAR else gate)
    return say("done")


def _between_rounds(
    scene: _Scene, stage: Stage, say: Say, own: datetime | None, waits: tuple[Wait, ...]
) -> Standing:
    """A stage begun with nobody at it: a coat dries, its clamps are all out, or it lies there."""
    if own is not None and own > scene.now:
        return say("curing", None if own == FAR else own)
    mine = tuple(w for w in waits if w.why == "clamps" and w.stage == stage.id)
    if mine and stage.rounds:
        return say("curing", mine[0].until_at, mine)
    return say("set down", None, waits)


# --- rest ----------------------------------------------------------------------------------------


def _resting(scene: _Scene, stage: Stage, work: Pass, say: Say) -> Standing:
    """A rest begins by itself once what it needs is done, or when somebody says so, and takes wall time."""
    ends_at = _rest_ends_at(scene, stage, work)
    if ends_at is None:
        hard = tuple(w for w in _waits(scene, stage, work) if w.why not in ("station", "clamps"))
        return say("waiting", _all_known(hard), hard) if hard else say("ready")
    return say("curing", ends_at) if ends_at > scene.now else say("done")


def _rest_ends_at(scene: _Scene, stage: Stage, work: Pass) -> datetime | None:
    began = work.started_at
    if began is None and stage.needs:
        ends = [_free_at(scene, n) for n in stage.needs if n.stage in scene.world.stages]
        known = [e for e in ends if e is not None]
        began = max(known, default=None) if len(known) == len(ends) else None
    if began is None:
        return None
    return began + timedelta(minutes=stage.rule_min(began))


# --- what it waits for ---------------------------------------------------------------------------


def _free_at(scene: _Scene, need: Need, spoil: str = "") -> datetime | None:
    """The instant from which a stage that was needed lets its follower start; None: not known yet.

    A redo asks only for the redo of the same spoil, where there is one.
    """
    stage = scene.world.stages[need.stage]
    passes = scene.replayed.passes[need.stage]
    asked = [p for p in passes if p.after_spoil == spoil] if spoil else list(passes)
    if stage.attendance == "none" and any(p.finished_at is None for p in asked):
        return _rest_ends_at(scene, stage, asked[0])
    if not all(complete(p) for p in asked):
        return None
    cures = scene.cures[need.stage]
    if any(in_doubt(r, c, scene.now) for r, c in cures):
        return None
    ends = [p.finished_at or p.rounds[-1].cured_from for p in asked]
    gate = gate_at(cures, [p.redo for p in asked]) or _LONG_AGO
    done = max(ends, default=_LONG_AGO) + timedelta(minutes=need.least_wait_min)
    return max(gate, done)


def _wait_for(scene: _Scene, need: Need, spoil: str) -> Wait | None:
    stage = need.stage
    free_at = _free_at(scene, need, spoil)
    if free_at is not None:
        if free_at <= scene.now:
            return None
        return Wait("curing", stage, None if free_at == FAR else free_at)
    if any(in_doubt(r, c, scene.now) for r, c in scene.cures[stage]):
        return Wait("doubtful", stage)
    if stage in scene.replayed.asides:
        return Wait("put aside", stage)
    return Wait("not done", stage)


def _waits(scene: _Scene, stage: Stage, work: Pass) -> tuple[Wait, ...]:
    """Everything that keeps a stage from being worked on now: hard waits first, then station and clamps."""
    found = []
    for need in stage.needs:
        if need.stage not in scene.world.stages or (need.by_rounds and _ready_of(scene, need) > 0):
            continue
        if work.started_at is None and (wait := _wait_for(scene, need, work.after_spoil)) is not None:
            found.append(wait)
    holders = scene.holders.get(stage.station, ()) if stage.station is not None else ()
    if holders and stage.id not in holders:
        found.append(Wait("station", holders[-1]))
    found.extend(_clamp_waits(scene, stage))
    return tuple(found)


def _clamp_waits(scene: _Scene, stage: Stage) -> list[Wait]:
    """Clamps that the next round lacks, and when some come off: its own first, else anybody's."""
    found = []
    for need in stage.clamps:
        wanted = 1 if need.per_piece else need.count
        lacking = wanted - scene.replayed.free_clamps.get(need.pool, 0)
        if lacking > 0:
            off = _clamps_off(scene, need.pool)
            own = [s for s, _ in off if s == stage.id]
            first = off[0] if off else (None, None)
            found.append(Wait("clamps", own[0] if own else first[0], first[1], lacking))
    return found


def _clamps_off(scene: _Scene, pool: int) -> list[tuple[int, datetime | None]]:
    """The stages that hold clamps of a pool, by when these may come off."""
    held = [
        (s, opens_at(c, "clamps off"))
        for s, cures in scene.cures.items()
        for r, c in cures
        if any(p == pool for p, _ in r.clamps)
    ]
    return sorted(held, key=lambda h: h[1] or FAR)


def _ready_of(scene: _Scene, need: Need) -> float:
    """How much of a stage's quantity is in rounds whose gating marks are reached."""
    cures = {(r.redo, r.number): c for r, c in scene.cures[need.stage]}
    total = 0.0
    for passed in scene.replayed.passes[need.stage]:
        for made in passed.rounds:
            cured = cures.get((made.redo, made.number))
            gate = cured.gate_at() if cured is not None else None
            doubted = cured is not None and in_doubt(made, cured, scene.now)
            if not doubted and (gate is None or gate <= scene.now):
                total += made.count
    return total


def _ready_count(scene: _Scene, stage: Stage, work: Pass) -> float:
    """How much of the stage may be worked on now: what is left; after rounds, the whole units they allow."""
    left = max(0.0, work.quantity - work.count_done)
    for need in stage.needs:
        if need.stage not in scene.world.stages or not need.by_rounds:
            continue
        before = scene.world.stages[need.stage].quantity or 1.0
        share = min(1.0, _ready_of(scene, need) / before)
        left = min(left, max(0.0, math.floor(share * stage.quantity + 1e-9) - work.count_done))
    return left


# --- machines ------------------------------------------------------------------------------------


def run_ends_at(stage: Stage, work: Pass) -> datetime | None:
    """When a machine's program ends: what its rule of thumb gives, less what earlier runs did."""
    running = next((r for r in work.runs if r.end is None), None)
    if running is None:
        return None
    earlier = sum(r.machine_min for r in work.runs if r.end is not None)
    return running.start + timedelta(minutes=max(0.0, stage.rule_min(running.start) - earlier))


def hands_at(stage: Stage, work: Pass) -> tuple[datetime, ...]:
    """The instants at which a running machine needs hands (tool changes), in order."""
    running = next((r for r in work.runs if r.end is None), None)
    if running is None:
        return ()
    earlier = sum(r.machine_min for r in work.runs if r.end is not None)
    return tuple(running.start + timedelta(minutes=m - earlier) for m in stage.hands_at_min if m >= earlier)


def nobody_here(replayed: Replayed, world: World) -> bool:
    """Whether nobody who has something in hand is within working hours now."""
    return not any(
        hours.is_working(world.calendar, person, replayed.now)
        or _came_outside(world, now.since, replayed.now)
        for person, now in replayed.people.items()
    )


def _came_outside(world: World, since: datetime, now: datetime) -> bool:
    """Whether somebody started outside hours and is still in that same stretch."""
    return not hours.spans(world.calendar, None, since, now) and since <= now
