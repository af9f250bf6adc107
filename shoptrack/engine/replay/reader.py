"""Entries read one after another → the state of everything, reckoned anew only where they changed it."""

from collections.abc import Callable, Collection, Iterable, Sequence
from datetime import datetime, timedelta

from shoptrack.engine.replay import answers, edges, minutes, rounds, stints
from shoptrack.engine.replay.book import Book, Help, Sitting
from shoptrack.engine.replay.passes import free_clamps, pass_of
from shoptrack.engine.replay.timed import OFFERED_FOR, Asked
from shoptrack.engine.shapes import Entry, Now, Pass, Question, Replayed, World


def _help(book: Book, e: Entry) -> None:
    drafts = tuple(book.current(s) for s in book.known(e.stages))
    if drafts and e.helper is not None and e.minutes:
        book.helps.append(Help(e.helper, e.minutes, e.at, drafts, e.id))


RULES: dict[str, Callable[[Book, Entry], None]] = {
    "start": stints.start,
    "pause": stints.pause,
    "finish": stints.finish,
    "put-aside": stints.put_aside,
    "take-up": stints.take_up,
    "spread": rounds.spread,
    "closed": rounds.closed,
    "round": rounds.round_done,
    "unclamp": rounds.unclamp,
    "tended": rounds.tended,
    "mend": rounds.mend,
    "spoil": rounds.spoil,
    "recount": rounds.recount,
    "temperature": rounds.temperature,
    "edge": edges.edge,
    "answer": answers.answer,
    "help": _help,
    "note": lambda book, e: None,
}
"""What each kind of entry does to the book. Strikes and retimes have been applied before."""

Order = tuple[datetime, str, int]


class Reader:
    """Reads a log in its order and says how everything stands; what it said before is kept where it holds.

    Takes the world, and the jobs whose state is asked for (default all). It must be given the entries that
    count, oldest first, and asked for the state at instants not before the last of them.
    Method: an entry can change only the jobs that it names, those of the people's open stints, those its
    helper was at; jobs with something going on change by the clock. The rest is as it was.
    """

    def __init__(self, world: World, jobs: Collection[int] | None = None) -> None:
        self.book = Book(world, jobs)
        self.jobs = frozenset(self.book.by_job) if jobs is None else frozenset(jobs)
        self.last: Order | None = None
        self._stale = set(self.jobs)
        self._moving: set[int] = set()
        self._linked: dict[int, set[int]] = {}
        self._passes: dict[int, tuple[Pass, ...]] = {}
        self._asked: dict[tuple[str, str], Asked] = {}

    def follows(self, entries: Sequence[Entry]) -> bool:
        """Whether entries can be read on from here: later than all before, and correcting none of them."""
        if any(e.kind in ("strike", "retime") for e in entries):
            return False
        return self.last is None or all(e.order > self.last for e in entries)

    def read(self, entries: Iterable[Entry]) -> None:
        """Read entries that count, in the order of the log."""
        for e in entries:
            self._stale |= self._touched(e)
            rule = RULES.get(e.kind)
            if rule is not None:
                rule(self.book, e)
            self._stale |= self._touched(e)
            if e.person is not None and e.kind != "answer":
                self.book.last_taps[e.person] = e
            self.last = e.order

    def _touched(self, e: Entry) -> set[int]:
        """The jobs that an entry may change, as far as the page shows now."""
        book = self.book
        if e.kind == "answer":
            return set(self.jobs)
        if e.kind == "edge":
            return set()
        jobs = {book.world.stages[s].job for s in book.known(e.stages)}
        if e.job is not None:
            jobs.add(e.job)
        for sitting in book.open.values():
            jobs |= self._jobs_of(sitting)
        if e.helper is not None:
            from_at = e.at - timedelta(minutes=e.minutes or 0.0)
            for sitting in reversed(book.by_person().get(e.helper, [])):
                if sitting.end is not None and sitting.end <= from_at:
                    break
                jobs |= self._jobs_of(sitting)
        return jobs

    def _jobs_of(self, sitting: Sitting) -> set[int]:
        """The jobs of a sitting; those of stages done together are reckoned together from then on."""
        jobs = {d.stage.job for d in sitting.pieces[0].passes} if sitting.pieces else set()
        if len(jobs) > 1:
            for job in jobs:
                self._linked.setdefault(job, set()).update(jobs)
        return jobs

    def state(self, now: datetime) -> Replayed:
        """How everything stands at an instant not before the last entry read."""
        self._reckon(now)
        book = self.book
        shown = self._passes.keys()
        return Replayed(
            now=now,
            passes=dict(self._passes),
            people={p: Now(p, s.stages, s.start, s.start_id, s.shop) for p, s in book.open.items()},
            shop_time=minutes.shop_stints(book, now),
            questions=self._questions(now),
            asides={s: aside for s, aside in book.asides.items() if s in shown},
            spoils=tuple(s for s in book.spoils if s.found_at in shown),
            readings=tuple(sorted(book.readings, key=lambda r: (r.at, r.room))),
            free_clamps=free_clamps(book, (d for s in shown for d in book.passes[s]), now),
            notes=dict(book.notes),
            last_taps=dict(book.last_taps),
            deeds=tuple(book.deeds),
        )

    def _reckon(self, now: datetime) -> None:
        """Count minutes and freeze passes of the jobs that changed or go on."""
        changed = self._with_linked((self._stale | self._moving) & self.jobs)
        timed = minutes.reckon(self.book, now, changed)
        self._asked = {k: a for k, a in self._asked.items() if changed.isdisjoint(a.jobs)} | timed.asked
        for job in changed & self.jobs:
            going_on = False
            for stage in self.book.by_job.get(job, ()):
                passes = tuple(pass_of(self.book, timed, d, now) for d in self.book.passes[stage.id])
                self._passes[stage.id] = passes
                going_on = going_on or any(p.open_stints or p.running for p in passes)
            (self._moving.add if going_on else self._moving.discard)(job)
        self._stale.clear()

    def _with_linked(self, jobs: set[int]) -> set[int]:
        """The jobs with all those whose work was ever done together with theirs, in chains."""
        grown, left = set(jobs), list(jobs)
        while left:
            more = self._linked.get(left.pop(), set()) - grown
            grown |= more
            left += more
        return grown

    def _questions(self, now: datetime) -> tuple[Question, ...]:
        """What is asked about the jobs shown, or about no stage at all, in the order it came up."""
        shown = self._passes
        said = [q for q in self.book.questions.values() if not q.stages or any(s in shown for s in q.stages)]
        reckoned = [
            a.question
            for a in self._asked.values()
            if (a.ended_at is None or a.ended_at >= now - OFFERED_FOR)
            and any(s in shown for s in a.question.stages)
        ]
        return tuple(sorted([*said, *reckoned], key=lambda q: (q.at, q.of, q.asks)))
