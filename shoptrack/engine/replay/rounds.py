"""Taps about rounds and their waits: spread, closed, round, unclamp, tended, spoil, mend, recount, warmth."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from shoptrack.engine.replay import edges
from shoptrack.engine.replay.book import Book, Draft, RoundDraft
from shoptrack.engine.shapes import Entry, Offer, Question, Reading, Spoil, in_force

PLAUSIBLE_C = (-20.0, 45.0)
"""A reading outside is asked about: a shop is not at 72 °C, but it may be at 72 °F."""

READ_AGAIN_WITHIN = timedelta(hours=1)
"""A plausible reading of the same room so soon after one that can't be right stands in its place."""

NOTHING = 1e-9
"""A measure so small is what is left over of counting in shares."""

YES_NO = (Offer("yes", "yes"), Offer("no", "no"))


def spread(book: Book, e: Entry) -> None:
    """Glue is being spread: the open time of the next round runs from here."""
    for stage in book.known(e.stages):
        draft = book.current(stage)
        draft.spread_at, draft.spread_id = e.at, e.id


def closed(book: Book, e: Entry) -> None:
    """In the clamps, or the coat is on: cure begins."""
    for stage in book.known(e.stages):
        draft = book.current(stage)
        guessed = next((r for r in draft.rounds if r.assumed or r.from_finish), None)
        if guessed is not None:
            _say_closed(book, draft, guessed, e)
        elif draft.remaining > 0:
            _add(book, draft, e.count if len(e.stages) == 1 else None, e.at, e.id).told = e.told
        else:
            book.remark(e.id, "already closed")


def _say_closed(book: Book, draft: Draft, guessed: RoundDraft, e: Entry) -> None:
    """Somebody says when a round was closed whose closing had been taken from another tap."""
    book.questions.pop((guessed.entry, "in-clamps"), None)
    guessed.assumed = guessed.from_finish = False
    guessed.cured_from, guessed.entry, guessed.told = e.at, e.id, e.told
    if e.count is not None and len(e.stages) == 1:
        guessed.count = min(e.count, guessed.count + draft.remaining)


def _was_closed(book: Book, made: RoundDraft) -> None:
    """What somebody did to a round that was taken as closed says that it was."""
    if made.assumed:
        made.assumed = False
        book.questions.pop((made.entry, "in-clamps"), None)


def round_done(book: Book, e: Entry) -> None:
    """A part of a stage is done: it confirms the round just closed, or makes one whose wait starts here."""
    for stage in book.known(e.stages):
        draft = book.current(stage)
        open_round = next((r for r in reversed(draft.rounds) if r.done_at is None), None)
        if open_round is None and draft.remaining > 0:
            open_round = _add(book, draft, e.count, e.at, e.id)
        elif open_round is not None and e.count is not None:
            open_round.count = min(e.count, open_round.count + draft.remaining)
        if open_round is not None:
            open_round.done_at = e.at
            _was_closed(book, open_round)
        else:
            book.remark(e.id, "nothing was left of it")


def _add(book: Book, draft: Draft, count: float | None, at: datetime, entry: str) -> RoundDraft:
    """Make a round and hold its clamps; without a count a stage of rounds takes one, another all."""
    usual = min(1.0, draft.remaining) if draft.stage.rounds else draft.remaining
    made = RoundDraft(
        job=draft.stage.job,
        number=len(draft.rounds) + 1,
        count=min(count, draft.remaining) if count is not None else usual,
        cured_from=at,
        entry=entry,
        spread_at=draft.spread_at,
    )
    draft.rounds.append(made)
    draft.spread_at = None
    for need in draft.stage.clamps:
        held = round(need.count * (made.count if need.per_piece else 1))
        made.clamps[need.pool] = held
        book.hold(need.pool, made.job, held)
    made.clamps_set = tuple(made.clamps.items())
    _make_room(book, draft, made, at)
    return made


def _make_room(book: Book, draft: Draft, made: RoundDraft, at: datetime) -> None:
    """Clamps set again on the same stage must have come off its older rounds when none were left."""
    for pool in made.clamps:
        owned = in_force(book.world.pools[pool].owned, at) if pool in book.world.pools else 0
        for older in draft.rounds[:-1]:
            if book.held(pool) <= owned:
                break
            _release(book, older, at, assumed=True)


def _release(
    book: Book, made: RoundDraft, at: datetime, count: int | None = None, assumed: bool = False
) -> int:
    """Take clamps off a round, all or a count of them; gives how many came off."""
    off = 0
    for pool, held in made.clamps.items():
        take = held if count is None else min(held, count - off)
        made.clamps[pool] = held - take
        book.hold(pool, made.job, -take)
        off += take
    if off and not any(made.clamps.values()):
        made.unclamped_at, made.unclamp_assumed = at, assumed
    return off


def unclamp(book: Book, e: Entry) -> None:
    """Clamps come off, oldest round first."""
    for stage in book.known(e.stages):
        left = round(e.count) if e.count is not None else None
        for draft in book.passes[stage]:
            for made in draft.rounds:
                if left is None or left > 0:
                    off = _release(book, made, e.at, left)
                    left = None if left is None else left - off
                    if off:
                        _was_closed(book, made)


def assume_unclamped(book: Book, stages: Iterable[int], at: datetime) -> None:
    """Work goes on after these stages, so their clamps are off though nobody said so."""
    for stage in stages:
        for draft in book.passes[stage]:
            for made in draft.rounds:
                if any(made.clamps.values()):
                    _release(book, made, at, assumed=True)


def tended(book: Book, e: Entry) -> None:
    """Hands were given to a mark: wiped off, scraped."""
    for stage in book.known(e.stages):
        for made in book.current(stage).rounds[-1:] or book.passes[stage][-1].rounds[-1:]:
            made.tended.add(e.choice)
            _was_closed(book, made)


def assume_closed(book: Book, gone: Iterable[Draft], person: int, at: datetime, entry: str) -> None:
    """Somebody left work that may not be interrupted and has marks: take it as closed, and ask."""
    for draft in gone:
        recipe, stage = draft.recipe(at), draft.stage
        if recipe is None or stage.interruption != "none" or book.at_it(stage.id):
            continue
        sat_since = max((p.sitting.start for p in draft.pieces if p.sitting.end == at), default=at)
        if draft.remaining <= 0 or any(r.cured_from >= sat_since for r in draft.rounds):
            continue
        _add(book, draft, None, at, entry).assumed = True
        words = "In the clamps?" if recipe.kind == "glue" else "Is the coat on?"
        book.questions[(entry, "in-clamps")] = Question(
            entry, "in-clamps", f"{stage.name}: {words}", YES_NO, at, person, (stage.id,), stage.job
        )


def end_when_all_closed(book: Book, gone: Iterable[Draft]) -> None:
    """Somebody left a stage that was said to be closed to the last round: it is done without a finish."""
    for draft in gone:
        whole = bool(draft.rounds) and draft.remaining <= 0 and not any(r.assumed for r in draft.rounds)
        if whole and not book.at_it(draft.stage.id):
            draft.finished_at = draft.rounds[-1].cured_from


def end_when_all_spoiled(book: Book, drafts: Iterable[Draft], at: datetime) -> None:
    """Nothing is left of a pass and nobody is at it: what is done from now on belongs to its redo."""
    for draft in drafts:
        if draft.quantity <= 0 and draft.finished_at is None and not book.at_it(draft.stage.id):
            draft.finished_at = at


def finish_rest(book: Book, draft: Draft, e: Entry) -> None:
    """At a finish, what has marks and was never closed cures from the finish; open rounds are done."""
    if draft.recipe(e.at) is not None and (draft.stage.rounds or not draft.rounds) and draft.remaining > 0:
        _add(book, draft, draft.remaining, e.at, e.id).from_finish = True
    for made in draft.rounds:
        made.done_at = made.done_at or e.at


def mend(book: Book, e: Entry) -> None:
    """Minutes and cost that mending took; nothing is done again."""
    for stage in book.known(e.stages):
        draft = book.current(stage)
        draft.mend_min += e.minutes or 0.0
        draft.mend_cents += e.cents or 0


def spoil(book: Book, e: Entry) -> None:
    """Pieces spoiled: the stage they go back to and what follows of it opens again for those pieces."""
    found = next(iter(book.known(e.stages)), None)
    if found is None or not e.count:
        return
    way_back = e.way_back if e.way_back in book.passes else found
    job = book.world.stages[found].job
    pieces = book.world.jobs[job].pieces if job in book.world.jobs else 1
    out_of = e.out_of or float(pieces)
    share = min(1.0, e.count / out_of)
    book.spoils.append(Spoil(e.id, e.at, found, way_back, e.count, out_of, e.cause))
    for stage in book.by_job[job]:
        if not stage.removed and (stage.id == way_back or way_back in book.before(stage.id)):
            _open_again(book, stage.id, stage.quantity * share, e)
    if e.cause == "dull edge":
        edges.ask_dull(book, e, book.world.stages[found])


def _open_again(book: Book, stage: int, quantity: float, e: Entry) -> None:
    draft = book.current(stage)
    if not draft.begun:
        return
    if draft.finished_at is None:
        rest = draft.quantity - quantity
        draft.quantity = rest if rest > NOTHING else 0.0
        end_when_all_spoiled(book, (draft,), e.at)
    passes = book.passes[stage]
    passes.append(Draft(draft.stage, len(passes), quantity, after_spoil=e.id))


def recount(book: Book, e: Entry) -> None:
    """Somebody counted the clamps on the wall: what the log lacks of that is kept till the next count.

    What other jobs than those asked for held then was written into the entry when it was accepted, since
    their part of the log may not be here; without it, what this part of the log says of them is taken.
    """
    pool = book.world.pools.get(e.pool) if e.pool is not None else None
    if pool is None or e.count is None:
        return
    held = book.held(pool.id)
    if e.held is not None:
        own = sum(n for job, n in book.held_by(pool.id).items() if job in book.jobs)
        held = own + sum(n for job, n in e.held if job not in book.jobs)
    book.wall[pool.id] = round(e.count) - (in_force(pool.owned, e.at) - held)
    book.counted_at[pool.id] = e.at


def celsius(fahrenheit: float) -> float:
    """A reading in °F as °C."""
    return (fahrenheit - 32.0) / 1.8


def temperature(book: Book, e: Entry) -> None:
    """Somebody read a thermometer; what can't be right is asked about and not used until answered."""
    if e.room is None or e.value_c is None:
        return
    low, high = PLAUSIBLE_C
    if low <= e.value_c <= high:
        book.readings.append(Reading(e.room, e.at, e.value_c))
        for other in book.doubted.values():
            if other.room == e.room and e.at - other.at <= READ_AGAIN_WITHIN:
                book.questions.pop((other.id, "temperature"), None)
        return
    book.doubted[e.id] = e
    as_f = celsius(e.value_c)
    offers = [Offer("as-written", f"yes, {e.value_c:g} °C"), Offer("not-right", "strike it")]
    if low <= as_f <= high:
        offers.insert(0, Offer("as-fahrenheit", f"{e.value_c:g} °F, that is {as_f:.0f} °C"))
    words = f"A shop at {e.value_c:g} °C? Which is it?"
    book.questions[(e.id, "temperature")] = Question(
        e.id, "temperature", words, tuple(offers), e.at, e.person
    )
