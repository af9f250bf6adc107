"""Taps that put a person on something or take them off it: start, pause, finish, put aside, take up."""

from collections.abc import Iterable
from datetime import datetime

from shoptrack.engine.replay import rounds
from shoptrack.engine.replay.book import Book, Draft, Piece, RunDraft, Sitting
from shoptrack.engine.shapes import Aside, Entry, Offer, Question


def start(book: Book, e: Entry) -> None:
    """Put a person on stages (or shop time); what they had in hand stops at that instant."""
    if e.person is None:
        return
    stages = tuple(book.known(e.stages))
    sitting = book.open.get(e.person)
    if sitting is not None and _same(sitting, stages, e):
        book.remark(e.id, "already in hand")
        return
    if e.stages and not stages:
        leave(book, e.person, e.at, e.id, "switch")
        return
    came_from = sitting.stages if sitting is not None else ()
    leave(book, e.person, e.at, e.id, "switch")
    joined = any(book.at_it(s) for s in stages)
    sit(book, Sitting(e.person, e.at, e.id, e.text if not stages else "", e.limit_min), stages)
    book.open[e.person].joined = joined
    book.open[e.person].came_from = came_from if joined else ()
    for stage in stages:
        _begin(book, book.current(stage), e)


def _same(sitting: Sitting, stages: tuple[int, ...], e: Entry) -> bool:
    if stages:
        return set(sitting.stages) == set(stages)
    return not e.stages and not sitting.stages and sitting.shop == e.text


def sit(book: Book, sitting: Sitting, stages: Iterable[int]) -> None:
    """Open a sitting on stages and forget what was asked of a person who was idle."""
    drafts = tuple(book.current(s) for s in stages)
    book.open[sitting.person] = sitting
    book.sittings.append(sitting)
    if sitting.person in book.backs:
        book.questions.pop(book.backs.pop(sitting.person), None)
    if drafts:
        _piece(sitting, drafts, sitting.start)


def _piece(sitting: Sitting, drafts: tuple[Draft, ...], at: datetime) -> None:
    piece = Piece(sitting, drafts, at)
    sitting.pieces.append(piece)
    for draft in drafts:
        draft.pieces.append(piece)


def _begin(book: Book, draft: Draft, e: Entry) -> None:
    """Mark a pass as begun: early or not, no longer aside, its machine running, old clamps taken off."""
    stage = draft.stage
    if draft.finished_at is not None:
        draft.finished_at = None
        book.remark(e.id, "started again after it was done")
    if draft.started_at is None:
        unmet = [
            n.stage for n in stage.needs if n.stage in book.passes and not _met(book, n.stage, n.by_rounds)
        ]
        draft.early = e.insisted or bool(unmet)
        draft.started_at = e.at
    if e.insisted:
        book.remark(e.id, "started early, insisted")
    elif draft.early and draft.started_at == e.at:
        book.remark(e.id, "before what it needs was done")
    book.asides.pop(stage.id, None)
    if stage.attendance == "within earshot" and not any(r.end is None for r in draft.runs):
        draft.runs.append(RunDraft(e.person or 0, e.at))
    rounds.assume_unclamped(book, book.before(stage.id), e.at)


def _met(book: Book, stage: int, by_rounds: bool) -> bool:
    passes = book.passes[stage]
    if by_rounds and any(p.rounds for p in passes):
        return True
    return passes[0].finished_at is not None or book.world.stages[stage].attendance == "none"


def pause(book: Book, e: Entry) -> None:
    """End one person's stint on the stages named; a watched machine stops unless it goes on."""
    if e.person is None:
        return
    sitting = book.open.get(e.person)
    if not e.stages:
        if sitting is not None and not sitting.stages:
            leave(book, e.person, e.at, e.id, "pause")
        return
    stages = book.known(e.stages)
    if sitting is None or not set(sitting.stages) & set(stages):
        book.remark(e.id, "nothing of theirs was open")
    else:
        leave(book, e.person, e.at, e.id, "pause", stages)
    if not e.goes_on:
        for stage in stages:
            stop_machine(book.current(stage), e.at)


def stop_machine(draft: Draft, at: datetime) -> None:
    """End the run of a pass's machine."""
    for run in draft.runs:
        if run.end is None:
            run.end = at


def leave(
    book: Book, person: int, at: datetime, entry: str, how: str, stages: Iterable[int] | None = None
) -> None:
    """Take a person off some (default all) of what they have in hand; the rest goes on as one sitting."""
    sitting = book.open.get(person)
    if sitting is None:
        return
    off = set(sitting.stages) if stages is None else set(stages)
    if sitting.pieces:
        old = sitting.pieces[-1]
        old.end = at
        kept = tuple(d for d in old.passes if d.stage.id not in off)
        if kept:
            _piece(sitting, kept, at)
        else:
            _close(book, sitting, at, how)
        if how in ("pause", "switch"):
            gone = [d for d in old.passes if d.stage.id in off]
            rounds.assume_closed(book, gone, person, at, entry)
            rounds.end_when_all_closed(book, gone)
            rounds.end_when_all_spoiled(book, gone, at)
    else:
        _close(book, sitting, at, how)


def _close(book: Book, sitting: Sitting, at: datetime, how: str) -> None:
    sitting.end = at
    sitting.ended_by = how
    del book.open[sitting.person]


def finish(book: Book, e: Entry) -> None:
    """End stages: every open stint on them, their machines, and what was not closed cures from here."""
    before = book.last_taps.get(e.person) if e.person is not None else None
    for stage in book.known(e.stages):
        draft = book.current(stage)
        if draft.finished_at is not None:
            book.remark(e.id, "already done")
            continue
        if e.count is not None and len(e.stages) == 1:
            draft.quantity = e.count
        if not draft.pieces and not draft.rounds and draft.stage.attendance != "none":
            _ask_no_start(book, draft, e, before)
        for sitting in book.at_it(stage):
            leave(book, sitting.person, e.at, e.id, "finish", (stage,))
            _ask_back(book, sitting, e)
        stop_machine(draft, e.at)
        rounds.finish_rest(book, draft, e)
        draft.finished_at = e.at
        draft.started_at = draft.started_at or e.at
        book.asides.pop(stage, None)


def _ask_no_start(book: Book, draft: Draft, e: Entry, before: Entry | None) -> None:
    draft.no_start = e.id
    offers = [
        Offer("usual", "the usual time", draft.stage.rule_min(e.at)),
        Offer("other", "another time"),
    ]
    if before is not None and before.at < e.at:
        offers.insert(0, Offer("since-last-tap", "since your last tap", to_at=before.at))
    words = f"{draft.stage.name}: finished without a start. How long did it take?"
    ask(
        book,
        Question(e.id, "no-start", words, tuple(offers), e.at, e.person, (draft.stage.id,), draft.stage.job),
    )


def _ask_back(book: Book, sitting: Sitting, e: Entry) -> None:
    """Ask somebody who had come over to help whether they went back to what they left."""
    back_to = [s for s in sitting.came_from if book.current(s).finished_at is None]
    if not (sitting.joined and back_to and sitting.end is not None and sitting.person != e.person):
        return
    names = ", ".join(book.world.stages[s].name for s in back_to)
    offers = (Offer("yes", "yes, at once"), Offer("no", "no"))
    ask(book, Question(e.id, "back", f"Back to {names}?", offers, e.at, sitting.person, tuple(back_to)))
    book.backs[sitting.person] = (e.id, "back")


def ask(book: Book, question: Question) -> None:
    """Put a question that is not answered yet; one entry asks each thing once."""
    book.questions[(question.of, question.asks)] = question


def put_aside(book: Book, e: Entry) -> None:
    """Put stages, or all that is not done of a job, aside with a reason and a day to look again."""
    for stage in _meant(book, e):
        draft = book.current(stage)
        if draft.finished_at is not None:
            continue
        for sitting in book.at_it(stage):
            leave(book, sitting.person, e.at, e.id, "put aside", (stage,))
        stop_machine(draft, e.at)
        book.asides[stage] = Aside(
            stage, e.at, e.reason, e.look_again_on, e.id, e.person, e.text, not e.stages
        )


def take_up(book: Book, e: Entry) -> None:
    """Take stages, or a whole job, up again."""
    for stage in _meant(book, e):
        book.asides.pop(stage, None)


def _meant(book: Book, e: Entry) -> list[int]:
    if e.stages:
        return book.known(e.stages)
    return [s.id for s in book.by_job.get(e.job or 0, ()) if not s.removed]
