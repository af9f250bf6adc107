"""Stages pinned to a day: moved, let go, and refused where they can't be begun then."""

from dataclasses import dataclass
from datetime import date, timedelta

import pytest

from shoptrack.engine.shapes import Pin
from shoptrack.errors import BadInput, NotFound
from shoptrack.store import snapshot
from shoptrack.store.db import Store
from shoptrack.store.edits import edit, history
from shoptrack.store.jobs import close_job
from shoptrack.store.skills import say_never
from shoptrack.store.stage_pins import set_pin, unpin
from shoptrack.store.tables import PersonRow, StageRow, TallyRow
from tests.store.conftest import NOW
from tests.store.making import Made, furnish, order

TODAY = NOW.date()
FRIDAY = TODAY + timedelta(days=4)


@dataclass(frozen=True)
class Here:
    """The small shop with one job of three stages."""

    store: Store
    made: Made
    job: int
    stages: list[int]

    def pin(self, stage: int, on: date = FRIDAY, person: int | None = None) -> bool:
        with self.store.writing() as session:
            return set_pin(session, stage, on, person, today=TODAY, who=self.made.ann, now=NOW)

    def pins(self) -> dict[int, Pin]:
        with self.store.reading() as session:
            return dict(snapshot.world(session).pins)


@pytest.fixture
def here(store: Store) -> Here:
    with store.writing() as session:
        made = furnish(session)
        job, stages = order(session, made)
    return Here(store, made, job, stages)


def test_a_stage_is_pinned_moved_and_let_go(here: Here) -> None:
    mill, ben = here.stages[0], here.made.ben
    assert here.pin(mill)
    assert not here.pin(mill)
    assert here.pins() == {mill: Pin(mill, FRIDAY)}
    assert here.pin(mill, TODAY, ben)
    assert here.pins() == {mill: Pin(mill, TODAY, ben)}
    with here.store.writing() as session:
        assert unpin(session, mill, None, NOW)
        assert not unpin(session, mill, None, NOW)
        lines = [(x.field, x.before, x.after) for x in history(session, "stages", mill)]
    assert here.pins() == {}
    assert lines == [
        ("pinned", None, "2026-03-06"),
        ("pinned", "2026-03-06", "2026-03-02 Ben"),
        ("pinned", "2026-03-02 Ben", None),
    ]


def test_what_can_not_be_begun_is_not_pinned(here: Here) -> None:
    """One stage is done, one taken out; yesterday is over; Ben does no glue-up; there is no person 77."""
    done, out, sand = here.stages
    with here.store.writing() as session:
        standing = dict.fromkeys(("quantity", "attended_min", "elapsed_min", "machine_min", "mend_min"), 0.0)
        session.add(TallyRow(stage_id=done, redo=0, standing="done", mend_cents=0, teaches=False, **standing))
        edit(session, session.get_one(StageRow, out), None, NOW, removed_at=NOW)
        say_never(session, session.get_one(PersonRow, here.made.ben), [here.made.kind], None, NOW)
    for stage, on, person, field in (
        (done, FRIDAY, None, "stage"),
        (out, FRIDAY, None, "stage"),
        (sand, TODAY - timedelta(days=1), None, "on"),
        (sand, FRIDAY, here.made.ben, "person"),
        (sand, FRIDAY, 77, "person"),
    ):
        with pytest.raises(BadInput) as wrong:
            here.pin(stage, on, person)
        assert wrong.value.field == field
    assert here.pins() == {}
    assert here.pin(sand, FRIDAY, here.made.ann)


def test_a_stage_that_is_spoiled_after_it_was_done_can_be_pinned_again(here: Here) -> None:
    mill = here.stages[0]
    with here.store.writing() as session:
        for redo, standing in enumerate(("done", "not started")):
            minutes = dict.fromkeys(
                ("quantity", "attended_min", "elapsed_min", "machine_min", "mend_min"), 0.0
            )
            session.add(
                TallyRow(stage_id=mill, redo=redo, standing=standing, mend_cents=0, teaches=False, **minutes)
            )
    assert here.pin(mill)


def test_closed_jobs_and_strangers(here: Here) -> None:
    """A pin of a stage that was taken out later is not shown; that of a closed job neither."""
    mill, glue, _ = here.stages
    here.pin(mill)
    with here.store.writing() as session:
        edit(session, session.get_one(StageRow, mill), None, NOW, removed_at=NOW)
    assert here.pins() == {}
    with here.store.writing() as session:
        row = session.get_one(PersonRow, here.made.ben)
        edit(session, row, None, NOW, retired_at=NOW)
    with pytest.raises(BadInput, match="nobody of that name"):
        here.pin(glue, FRIDAY, here.made.ben)
    with here.store.writing() as session:
        close_job(session, here.job, NOW)
        for stage in (0, 999):
            with pytest.raises(NotFound):
                unpin(session, stage, None, NOW)
    with pytest.raises(BadInput, match="closed"):
        here.pin(glue)
    with pytest.raises(NotFound):
        here.pin(999)
