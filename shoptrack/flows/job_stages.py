"""What is said of a job's stages → the stages changed, the tally made anew, or a plain reason why not."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime

from sqlalchemy.orm import Session

from shoptrack.errors import BadInput, NotFound, Refused
from shoptrack.flows.at_hand import read_at_hand
from shoptrack.flows.shopfloor import Sight, sight_of
from shoptrack.flows.stage_checks import refuse_impossible
from shoptrack.flows.stages_view import fixed, said_now, stamp_of, stays
from shoptrack.store import job_stages as rows_of
from shoptrack.store import tally, worked
from shoptrack.store.db import Store, head
from shoptrack.store.edits import edit
from shoptrack.store.job_stages import StageSaid
from shoptrack.store.pattern_things import things
from shoptrack.store.waits import waits_of


def add(
    store: Store, job_id: int, said: StageSaid, newest: int, in_line: bool, who: int | None, now: datetime
) -> int:
    """Add a stage and give its number; the same form sent twice adds it once.

    Takes the highest number of a stage when the form was shown. Raises BadInput, Refused, NotFound.
    """
    with changing(store, job_id, None, now) as (session, _):
        made = rows_of.made_since(session, job_id, newest, said.name, said.quantity)
        if made is None:
            _refuse_impossible(session, job_id, None, said, now)
            made = rows_of.add_stage(session, job_id, said, who, now, in_line=in_line)
        return made.id


def change(
    store: Store, job_id: int, stage_id: int, said: StageSaid, stamp: str, who: int | None, now: datetime
) -> None:
    """Say anew what a stage is. Raises BadInput for what can't be, Refused for one that is done, NotFound."""
    with changing(store, job_id, stage_id, now) as (session, sight):
        old = said_now(session, job_id, stage_id)
        if said == old:
            return
        if stamp != stamp_of(old):
            raise BadInput(
                "Somebody changed this stage since the page was opened. What you typed is still here: "
                "look it over and save it again."
            )
        _refuse_fixed(sight, stage_id)
        if said.quantity != old.quantity:
            _refuse_measure(sight, stage_id, said.quantity)
        _refuse_impossible(session, job_id, stage_id, said, now)
        rows_of.change_stage(session, rows_of.stage_of_job(session, job_id, stage_id), said, who, now)


def take_out(store: Store, job_id: int, stage_id: int, who: int | None, now: datetime, why: str) -> None:
    """Take a stage out of its job; done again it changes nothing. Raises Refused saying why, NotFound."""
    with changing(store, job_id, stage_id, now) as (session, sight):
        row = rows_of.stage_of_job(session, job_id, stage_id)
        if row.removed_at is None:
            if reason := stays(sight, stage_id):
                raise Refused(f"“{row.name}” can’t be taken out now: {reason}")
            edit(session, row, who, now, why=why, removed_at=now)


def bring_back(store: Store, job_id: int, stage_id: int, who: int | None, now: datetime) -> None:
    """Put a stage back where it was, with those that waited for it. Raises Refused, NotFound."""
    with changing(store, job_id, stage_id, now) as (session, _):
        edit(session, rows_of.stage_of_job(session, job_id, stage_id), who, now, removed_at=None)


def move(
    store: Store, job_id: int, stage_id: int, up: bool, was: int, who: int | None, now: datetime
) -> None:
    """Change a stage's place with its neighbour's; it waits for the same. Raises Refused, NotFound."""
    with changing(store, job_id, stage_id, now) as (session, _):
        row = rows_of.stage_of_job(session, job_id, stage_id)
        if row.removed_at is None:
            rows_of.move_stage(session, row, up, was, who, now)


def split(
    store: Store, job_id: int, stage_id: int, keeps: float, newest: int, who: int | None, now: datetime
) -> None:
    """Split a stage in two: what is in rounds already stays with the first. Raises BadInput, Refused."""
    with changing(store, job_id, stage_id, now) as (session, sight):
        row = rows_of.stage_of_job(session, job_id, stage_id)
        if row.quantity == keeps and rows_of.made_since(session, job_id, newest, row.name):
            return  # this very form has split it already
        _refuse_fixed(sight, stage_id)
        if len(sight.replayed.passes.get(stage_id, ())) > 1:
            raise Refused("Spoiled pieces of it are being made again; split it when they are through.")
        if not 0 < keeps < row.quantity:
            raise BadInput(f"The first part is more than nothing and less than {row.quantity:g}.", "keeps")
        _refuse_measure(sight, stage_id, keeps, "keeps")
        recipes = sight.world.stages[stage_id].recipes
        coats = bool(recipes) and recipes[-1][1].kind == "finish"
        rows_of.split_stage(session, row, keeps, coats, who, now)


@contextmanager
def changing(
    store: Store, job_id: int, stage_id: int | None, now: datetime
) -> Iterator[tuple[Session, Sight]]:
    """One transaction in which stages of an open job change; at its end the tally says what it must.

    Minutes of stages done together are shared by their measures, so jobs worked together with this one, even
    closed ones, are counted again too.
    """
    with store.writing() as session:
        sight = sight_of(store, session, now, (job_id,))
        job = sight.world.jobs.get(job_id)
        if job is None:
            raise NotFound("There is no such job.")
        if job.closed_at is not None:
            raise Refused("This job is closed. Open it again first, then its stages can be changed.")
        together = frozenset[int]()
        if stage_id is not None:
            rows_of.stage_of_job(session, job_id, stage_id)
            together = rows_of.worked_together(session, stage_id)
        yield session, sight
        session.flush()
        at_hand = read_at_hand(session, head(session), together)
        works = list(at_hand.stand_at(at_hand.newest_at(), at_hand.jobs).changed_since(None))
        tally.rewrite(session, works)
        worked.rewrite(session, works, at_hand.world)


def _refuse_fixed(sight: Sight, stage_id: int) -> None:
    if reason := fixed(sight.standings.get(stage_id)):
        raise Refused(reason)


def _refuse_impossible(
    session: Session, job_id: int, stage_id: int | None, said: StageSaid, now: datetime
) -> None:
    rows = rows_of.stages_of_job(session, job_id)
    waits = waits_of(rows)
    others = {row.id: rows_of.said_of(row, waits[row.id]) for row in rows}
    was = others.pop(stage_id) if stage_id is not None else None
    refuse_impossible(said, was, others, things(session, now))


def _refuse_measure(sight: Sight, stage_id: int, quantity: float, field: str = "quantity") -> None:
    """Refuse a measure below what is done of it."""
    passes = sight.replayed.passes.get(stage_id, ())
    if passes and passes[0].finished_at is not None:
        raise BadInput("Its measure was confirmed when it was done; pieces are being made again now.", field)
    done = passes[0].count_done if passes else 0.0
    if quantity < done:
        raise BadInput(f"{done:g} are done already, so it can’t be less.", field)
