"""The working page of a replay → the frozen passes, rounds and stints that it gives."""

from collections import Counter
from collections.abc import Iterable
from datetime import datetime

from shoptrack.engine.replay import doubts, minutes
from shoptrack.engine.replay.book import Book, Draft, RoundDraft
from shoptrack.engine.replay.timed import Timed
from shoptrack.engine.shapes import Pass, Round, Stint, in_force


def pass_of(book: Book, timed: Timed, draft: Draft, now: datetime) -> Pass:
    """A pass as it stands, with its minutes."""
    why_not = "" if not draft.begun else _why_not(book, timed, draft)
    aside = book.asides.get(draft.stage.id)
    runs = minutes.runs(book, draft, now) if draft.runs else ()
    return Pass(
        stage=draft.stage.id,
        job=draft.stage.job,
        redo=draft.redo,
        quantity=draft.quantity,
        started_at=draft.started_at,
        finished_at=draft.finished_at,
        stints=tuple(_stints(timed, draft)),
        runs=runs,
        rounds=tuple(_round(draft, r) for r in draft.rounds),
        attended_min=minutes.attended_min(timed, draft) if draft.begun else timed.helped.get(id(draft), 0.0),
        elapsed_min=minutes.elapsed_min(timed, draft) if draft.begun else 0.0,
        machine_min=sum(r.machine_min for r in runs),
        mend_min=draft.mend_min,
        mend_cents=draft.mend_cents,
        teaches=draft.finished_at is not None and not why_not,
        why_not=why_not,
        together=_together(draft),
        aside_by=aside.reason if aside is not None and draft.finished_at is None else "",
        early=draft.early,
        after_spoil=draft.after_spoil,
    )


def _why_not(book: Book, timed: Timed, draft: Draft) -> str:
    """Why a pass does not teach how long its kind takes; empty when it does."""
    starts = {p.sitting.start_id: p.sitting for p in draft.pieces}
    if draft.redo:
        return "done again for spoiled pieces"
    if draft.quantity <= 0:
        return "all of it was spoiled"
    if draft.no_start:
        return "finished without a start"
    if draft.usual_said or any(
        (a := doubts.answered(book, s)) and a.choice == "usual" for s in starts.values()
    ):
        return "the usual time was taken"
    if any(s in timed.doubted for s in starts):
        return "longer than the limit, not answered yet"
    if any(s in timed.crossed and sitting.ended_by == "switch" for s, sitting in starts.items()):
        return "left over a break without a tap"
    if draft.finished_at is not None and minutes.attended_min(timed, draft) <= 0 and not draft.runs:
        return "no minutes"
    return ""


def _together(draft: Draft) -> tuple[int, ...]:
    """The stages this pass was done together with, when all of its work was done so."""
    sets = {tuple(d.stage.id for d in p.sitting.pieces[0].passes) for p in draft.pieces}
    only = next(iter(sets)) if len(sets) == 1 else ()
    return only if len(only) > 1 else ()


def _stints(timed: Timed, draft: Draft) -> Iterable[Stint]:
    for piece in draft.pieces:
        counted = timed.pieces[id(piece)]
        yield Stint(
            person=piece.sitting.person,
            stage=draft.stage.id,
            together=tuple(d.stage.id for d in piece.passes),
            start=piece.start,
            end=piece.end,
            start_id=piece.sitting.start_id,
            counted=counted.spans,
            attended_min=counted.minutes * minutes.share(piece, draft),
            ended_by=piece.sitting.ended_by if piece is piece.sitting.pieces[-1] else "finish",
        )


def _round(draft: Draft, made: RoundDraft) -> Round:
    return Round(
        stage=draft.stage.id,
        redo=draft.redo,
        number=made.number,
        count=made.count,
        cured_from=made.cured_from,
        entry=made.entry,
        assumed=made.assumed,
        spread_at=made.spread_at,
        done_at=made.done_at,
        clamps=tuple((p, n) for p, n in made.clamps.items() if n),
        clamps_set=made.clamps_set,
        unclamped_at=made.unclamped_at,
        unclamp_assumed=made.unclamp_assumed,
        tended=frozenset(made.tended),
        judged=made.judged,
        told=made.told,
    )


def free_clamps(book: Book, drafts: Iterable[Draft], now: datetime) -> dict[int, int]:
    """Clamps on the wall by pool; what a pool lacks is lent by the next longer one that has some.

    Only the jobs asked for hold clamps: one that was closed has let go of its own, and so has a stage that
    was taken out of its job, but for those that hung on it when somebody counted the wall.
    Source: a longer clamp may stand in for a shorter (common practice, no source).
    """
    held = Counter[int]()
    for draft, made in ((d, r) for d in drafts for r in d.rounds):
        counted = book.counted_at
        held.update(
            {
                pool: n
                for pool, n in made.clamps.items()
                if not draft.stage.removed or (pool in counted and made.cured_from <= counted[pool])
            }
        )
    pools = sorted(book.world.pools.values(), key=lambda p: p.reach_mm)
    free = {p.id: in_force(p.owned, now) - held[p.id] + book.wall.get(p.id, 0) for p in pools}
    for i, short in enumerate(pools):
        for longer in pools[i + 1 :]:
            lent = min(max(0, -free[short.id]), max(0, free[longer.id]))
            free[short.id] += lent
            free[longer.id] -= lent
    return {p: max(0, n) for p, n in free.items()}
