"""Pieces of work → tasks: what they come after, what they take and keep, when they may begin and by whom."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from shoptrack.engine.marks import gate_at
from shoptrack.engine.shapes import FAR, Need, Pass, Stage
from shoptrack.engine.shapes.planned import After, Task, Uses
from shoptrack.engine.states import complete
from shoptrack.flows.planning.awaited import ANY_TIME, Window
from shoptrack.flows.planning.ground import Ground
from shoptrack.flows.planning.hands import AllHands, Hands
from shoptrack.flows.planning.lags import MOST, Lags
from shoptrack.flows.planning.left import Share
from shoptrack.flows.planning.past import Past, next_coat_by
from shoptrack.flows.planning.pieces import Cut, Pieces
from shoptrack.flows.planning.rounds import clamps_held, first_with, is_coats

_LONG_AGO = datetime.min.replace(tzinfo=FAR.tzinfo)


@dataclass
class _Waits:
    """What a piece comes after, as it is found."""

    after: list[After] = field(default_factory=list)
    earliest: int = 0

    def not_before(self, minute: int) -> None:
        self.earliest = max(self.earliest, minute)


@dataclass(frozen=True, slots=True)
class _Own:
    """What all pieces of a stage have in common."""

    stage: Stage
    tag: str
    lags: Lags
    window: Window
    able: frozenset[int] | None
    room: int
    dusty: bool
    stays: bool
    tail: int


@dataclass
class Tasks:
    """The tasks of all pieces, in their places."""

    ground: Ground
    pieces: Pieces
    hands: AllHands
    past: Past
    _never: dict[int, frozenset[int] | None] = field(default_factory=dict)

    def of(self, stage: Stage) -> Iterator[tuple[int, Task, tuple[Share, ...]]]:
        """The tasks of a stage with their places and the shares of what is drawn for them."""
        cuts = self.pieces.of(stage)
        if not cuts:
            return
        own = self._own(stage)
        for cut in cuts:
            for part, hands in enumerate(self.hands.of(stage, cut)):
                yield cut.first + part, self._task(own, cut, part, hands), hands.shares

    def _own(self, stage: Stage) -> _Own:
        ground, lags = self.ground, self.ground.lags_of(stage)
        window = ground.held.windows.get(stage.id, ANY_TIME)
        station = ground.world.stations.get(stage.station) if stage.station is not None else None
        return _Own(
            stage=stage,
            tag=ground.world.jobs[stage.job].tag,
            lags=lags,
            window=window,
            able=self._able(stage, window),
            room=ground.room(stage).id,
            dusty=stage.dusty or (station is not None and station.makes_dust),
            stays=station is not None and station.through_cure and lags.gate > 0,
            tail=lags.gate if lags.gate and ground.is_last(stage) else 0,
        )

    def _task(self, own: _Own, cut: Cut, part: int, hands: Hands) -> Task:
        stage, waits, latest = own.stage, _Waits(), None
        uses, keeps, off = self._holds(own, cut.counts[part])
        if hands.begun is None:
            self._wait(stage, cut, part, own.lags, waits)
            if not part:
                waits.not_before(own.window.earliest)
                latest = own.window.latest
        return Task(
            order=self.ground.orders[stage.job],
            work=hands.work,
            name=_name(own, cut, part),
            stage=stage.id,
            part=part,
            crew=hands.crew,
            hands=hands.hands,
            watched=hands.watched,
            able=own.able,
            pause=stage.interruption,
            uses=uses,
            keeps=keeps,
            off=off,
            after=tuple(waits.after),
            earliest=waits.earliest,
            latest=latest,
            room=own.room,
            dusty=own.dusty,
            wet=own.lags.wet,
            begun=hands.begun,
            tail=own.tail,
        )

    def _able(self, stage: Stage, window: Window) -> frozenset[int] | None:
        """Those who may do a stage; of one for several a pinned person can't be all."""
        workers = self.ground.workers
        if window.person is not None and stage.people < 2:
            return frozenset({workers[window.person]})
        if stage.kind_id not in self._never:
            people = self.ground.world.people
            may = frozenset(w for person, w in workers.items() if stage.kind_id not in people[person].never)
            self._never[stage.kind_id] = None if len(may) == len(workers) else may
        return self._never[stage.kind_id]

    def _holds(self, own: _Own, count: float) -> tuple[Uses, Uses, int]:
        """What is held to the end, what through the cure, and until how long after the end that is.

        Clamps are kept through the cure, and some places; where it is both, both are for the longer.
        """
        stage, things = own.stage, self.ground.things
        uses: Uses = tuple((things.tools[tool], 1) for tool in stage.tools if tool in things.tools)
        keeps: Uses = ()
        off = 0
        if stage.clamps:
            clamps = things.clamps(clamps_held(stage.clamps, count))
            uses, keeps, off = (uses, clamps, own.lags.off) if stage.recipes else (uses + clamps, (), 0)
        if stage.station is not None and stage.station in things.stations:
            place = ((things.stations[stage.station], 1),)
            if own.stays:
                return uses, keeps + place, max(off, own.lags.gate)
            uses += place
        return uses, keeps, off

    # --- what it comes after -------------------------------------------------------------------------

    def _wait(self, stage: Stage, cut: Cut, part: int, lags: Lags, waits: _Waits) -> None:
        if part:
            coats = is_coats(stage)
            least, greatest = (lags.recoat, lags.recoat_until) if coats else (0, None)
            waits.after.append(After(cut.first + part - 1, least, _not_below(greatest, least)))
        else:
            self._after_own(stage, cut, waits)
        for need in self.ground.needs(stage):
            if need.by_rounds and not cut.work.redo:
                self._by_rounds(stage, cut, part, need, waits)
            elif not part and cut.work.started_at is None:
                self._whole(cut, need, waits)

    def _after_own(self, stage: Stage, cut: Cut, waits: _Waits) -> None:
        """The next round by the marks of the last one."""
        standing, line = self.ground.standing(stage.id), self.ground.line
        if standing.work.redo != cut.work.redo or standing.own_gate_at is None:
            return
        waits.not_before(line.ceil(min(standing.own_gate_at, self.ground.now + MOST)))
        for made, until_at in next_coat_by(self.ground, stage):
            place = self.past.place_of(stage, made)
            waits.after.append(After(place, 0, max(0, line.floor(until_at) - self.past.ended(place))))

    def _by_rounds(self, stage: Stage, cut: Cut, part: int, need: Need, waits: _Waits) -> None:
        ready = first_with(self.pieces.comes_to(stage, need.stage), cut.until(part))
        if ready is not None and ready.piece is not None:
            waits.after.append(self._after(need, ready.piece))
        elif ready is not None:
            waits.not_before(ready.at)

    def _whole(self, cut: Cut, need: Need, waits: _Waits) -> None:
        """All passes of a stage; what is done again for a spoil waits only for what that spoil opened."""
        spoil = cut.work.after_spoil
        other, passes = self.ground.world.stages[need.stage], self.ground.passes(need.stage)
        own = self.pieces.of(other)
        if len(passes) == len(own) == 1 and not spoil:
            waits.after.append(self._after(need, own[0].last))
            return
        cuts = {each.work.redo: each for each in own}
        asked = [p for p in passes if not spoil or p.after_spoil == spoil]
        waits.after += [self._after(need, cuts[p.redo].last) for p in asked if p.redo in cuts]
        done = [p for p in asked if p.redo not in cuts and complete(p)]
        if done:
            self._after_done(other, need, done, waits)

    def _after(self, need: Need, piece: int) -> After:
        other = self.ground.world.stages[self.pieces.found[piece].stage]
        least = max(self.ground.lags_of(other).gate, _up(need.least_wait_min))
        greatest = None if need.greatest_wait_min is None else int(need.greatest_wait_min)
        return After(piece, least, _not_below(greatest, least))

    def _after_done(self, other: Stage, need: Need, done: list[Pass], waits: _Waits) -> None:
        """What is done counts by its real marks; a greatest wait that runs already ends when it ends."""
        line, ended = self.ground.line, max(p.finished_at or p.rounds[-1].cured_from for p in done)
        gate = gate_at(self.ground.standing(other.id).cures, [p.redo for p in done]) or _LONG_AGO
        free_at = max(gate, ended + timedelta(minutes=need.least_wait_min))
        if free_at > self.ground.now:
            waits.not_before(line.ceil(min(free_at, self.ground.now + MOST)))
        if need.greatest_wait_min is not None:
            by = line.floor(ended + timedelta(minutes=need.greatest_wait_min))
            if by >= 0:
                waits.after.append(After(self.past.place_of(other, None, done[-1].redo), 0, by))


def _name(own: _Own, cut: Cut, part: int) -> str:
    name, made = f"{own.tag} {own.stage.name}", len(cut.work.rounds)
    if len(cut.counts) + made < 2:
        return name
    return f"{name}, {'coat' if is_coats(own.stage) else 'round'} {made + part + 1}"


def _not_below(greatest: int | None, least: int) -> int | None:
    """A greatest wait that is not shorter than the least."""
    return None if greatest is None else max(greatest, least)


def _up(minutes: float) -> int:
    return -int(-minutes // 1)
