"""Pieces of work → their minutes, whose hands they take, and of which foretold minutes they are the share."""

from dataclasses import dataclass, field

from shoptrack.engine.shapes import Now, Stage, Standing
from shoptrack.engine.totals import Part
from shoptrack.flows.planning.ground import Ground
from shoptrack.flows.planning.left import Draw, Share, Shared, middle_min, rounds_left, spent_since_round
from shoptrack.flows.planning.pieces import Cut, Pieces


@dataclass(frozen=True, slots=True)
class Hands:
    """The minutes of one piece as a task has them; ``hands`` None: all of the work."""

    work: int
    crew: int
    hands: int | None = None
    watched: bool = False
    begun: tuple[int, ...] | None = None
    shares: tuple[Share, ...] = ()


@dataclass(frozen=True, slots=True)
class _Drawn:
    """A piece's share of a draw, and its middle."""

    draw: int
    share: float
    middle_min: float

    def for_people(self, people: int) -> Share:
        return Share(self.draw, self.share, people)


@dataclass
class AllHands:
    """The minutes of all pieces.

    What somebody has in hand is theirs. Several stages done together are one piece of work for whoever does
    them, as long as all of them: the first of them holds the person, the others go on beside it.
    """

    ground: Ground
    pieces: Pieces
    draws: list[Draw] = field(default_factory=list)
    _drawn: dict[tuple[int, int], list[_Drawn]] = field(default_factory=dict)

    def of(self, stage: Stage, cut: Cut) -> list[Hands]:
        """The minutes of each piece of a pass."""
        if stage.attendance == "none":
            return [self._rest(stage)]
        standing = self.ground.standing(stage.id)
        current = standing.work.redo == cut.work.redo
        own = self._running(stage, cut, current) if _watched(stage) else self._by_hand(stage, cut)
        if current and not _watched(stage) and (here := self._at_it(standing)):
            own[0] = self._in_hand(stage, cut, here)
        return own

    def _at_it(self, standing: Standing) -> tuple[int, ...]:
        """Those who have the next piece in hand: nobody while the coat below it is still too wet."""
        if not standing.people or self.ground.still_wet(standing):
            return ()
        return self.ground.here(standing.people)

    def _rest(self, stage: Stage) -> Hands:
        """A rest takes its minutes on the wall; what of it is over is left out."""
        standing = self.ground.standing(stage.id)
        if standing.state == "curing" and standing.until_at is not None:
            return Hands(max(0, self.ground.line.ceil(standing.until_at)), 0, begun=())
        return Hands(max(1, round(self.ground.foretold.rule(stage).minutes(stage.quantity))), 0)

    def _by_hand(self, stage: Stage, cut: Cut) -> list[Hands]:
        people = max(1, stage.people)
        return [
            Hands(_whole(each.middle_min / people), people, shares=(each.for_people(people),))
            for each in self._draws(stage, cut)
        ]

    def _in_hand(self, stage: Stage, cut: Cut, here: tuple[int, ...]) -> Hands:
        """The piece that people are at; it goes on beside another where all of them are at that first."""
        leads = {w: self._together(w, stage) for w in here}
        own = tuple(w for w in here if leads[w][0].id == stage.id)
        group = leads[(own or here)[0]]
        people = len(own or here)
        each = [self._draws(other, self._current(other) or cut)[0] for other in group]
        shares = tuple(one.for_people(people) for one in each)
        work = _whole(sum(one.middle_min for one in each) / people)
        return Hands(work, len(own), None, not own, own, shares)

    def _together(self, worker: int, stage: Stage) -> list[Stage]:
        """What somebody has in hand by hand and is not done, in its order; a stage of theirs at least."""
        person = next(p for p, w in self.ground.workers.items() if w == worker)
        now: Now | None = self.ground.sight.replayed.people.get(person)
        world = self.ground.world
        stages = [world.stages[s] for s in (now.stages if now else ()) if s in world.stages]
        return [s for s in stages if not _watched(s) and self._current(s) is not None] or [stage]

    def _current(self, stage: Stage) -> Cut | None:
        """The pieces of the pass that a tap on a stage belongs to; None: nothing of it is left."""
        cuts = self.pieces.of(stage)
        redo = self.ground.standing(stage.id).work.redo if cuts else 0
        return next((cut for cut in cuts if cut.work.redo == redo), None)

    def _running(self, stage: Stage, cut: Cut, current: bool) -> list[Hands]:
        """A watched machine: its run begins with its set-up, which takes hands, and goes on within earshot.

        Method: until its runs were learned a program lasts as its rule of thumb says, as on the Floor. The
        hands that it needs at tool changes are not planned: somebody is near by then anyway.
        """
        standing, work = self.ground.standing(stage.id), cut.work
        setup = self.ground.foretold.setup_min(stage, work.quantity) - work.attended_min
        people = max(1, stage.people)
        own = [
            Hands(whole, people, min(whole, _whole(setup / people if not n else 1.0)), True, None, (shared,))
            for n, (whole, shared) in enumerate(
                (_whole(each.middle_min), each.for_people(1)) for each in self._draws(stage, cut)
            )
        ]
        here = self.ground.here(standing.people) if current else ()
        if current and (here or standing.state == "running"):
            first = own[0]
            own[0] = Hands(first.work, len(here), first.hands if here else None, True, here, first.shares)
        return own

    def _draws(self, stage: Stage, cut: Cut) -> list[_Drawn]:
        key = (stage.id, cut.work.redo)
        if key not in self._drawn:
            parts: dict[int, int] = {}
            self._drawn[key] = [self._add(stage, cut, each, parts) for each in self._shared(stage, cut)]
        return self._drawn[key]

    def _add(self, stage: Stage, cut: Cut, each: Shared, parts: dict[int, int]) -> _Drawn:
        """Its draw, the same for all that share one; they hold the very same part."""
        which = id(each.part)
        if which not in parts:
            parts[which] = len(self.draws)
            self.draws.append(Draw(stage.job, stage.id, cut.work.redo, each.part))
        return _Drawn(parts[which], each.share, each.middle_min)

    def _shared(self, stage: Stage, cut: Cut) -> list[Shared]:
        work, foretold = cut.work, self.ground.foretold
        if _watched(stage):
            told, spent = foretold.machine(stage, work.quantity), work.machine_min
            if spent and len(cut.counts) == 1 and foretold.machine_fit(stage) is None:
                left = foretold.rule(stage).minutes(work.quantity) - spent
                return [Shared(Part(told, float(round(spent))), 1.0, max(left, 0.0))]
        else:
            told, spent = foretold.hands(stage, work.quantity), spent_since_round(work)
        if not spent and not work.count_done and len(cut.counts) == 1:
            part = Part(told)
            return [Shared(part, 1.0, middle_min(part))]
        return rounds_left(told, foretold.rule(stage), work, cut.counts, float(round(spent)))


def _watched(stage: Stage) -> bool:
    return stage.attendance == "within earshot"


def _whole(minutes: float) -> int:
    return max(1, round(minutes))
