"""Documents tell what a sight has, in the shapes that the API document promises."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from shoptrack.flows.shopfloor import gather, gather_job
from shoptrack.store.db import Store
from shoptrack.store.tables import MarkRow, RecipeRow, RecipeVersionRow, StageRow
from shoptrack.web.documents import floor_doc, jobs_doc, one_job_doc
from tests.flows.conftest import MADE_AT, make_store
from tests.flows.taps import NOW, made, send


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    """A shop whose glue-ups stay an hour in the clamps at 20 °C, which the room has all day."""
    made_store = make_store(tmp_path / "shop.db")
    with made_store.writing() as session:
        session.add(RecipeRow(id=1, name="white glue", kind="glue"))
        session.flush()
        session.add(RecipeVersionRow(id=1, recipe_id=1, from_at=MADE_AT))
        session.flush()
        session.add(MarkRow(version_id=1, role="clamps off", name="clamps off", from_min=60, gates=True))
        glue_up = session.get_one(StageRow, 12)
        glue_up.recipe_id, glue_up.room_id, glue_up.joint = 1, 1, "plain edge"
    yield made_store
    made_store.close()


def test_what_cures_is_told_until_its_mark_is_reached(store: Store) -> None:
    """Closed at 9:00 at 20 °C: clamps off at 10:00, and nothing cures after that."""
    send(store, made("closed", 1, person=1, stages=[12]))
    doc = floor_doc(gather(store, NOW + timedelta(minutes=10)))
    (curing,) = doc.curing
    off = NOW + timedelta(minutes=60)
    assert (curing.stage, curing.mark, curing.until, curing.doubtful, curing.assumed) == (
        12,
        "clamps off",
        None,
        False,
        False,
    )
    assert curing.from_ is not None
    assert abs(curing.from_ - off) < timedelta(seconds=1)
    stage = next(s for s in doc.stages if s.id == 12)
    assert (stage.state, stage.until) == ("curing", curing.from_)
    assert floor_doc(gather(store, off + timedelta(minutes=1))).curing == ()


def test_questions_on_the_bench_only_are_left_out(store: Store) -> None:
    """A finish without a start asks how long it took; that is for everybody, soft ones are not."""
    send(store, made("finish", 1, person=1, stages=[11]))
    sight = gather(store, NOW + timedelta(minutes=1))
    doc = floor_doc(sight)
    assert [q.asks for q in doc.questions] == [q.asks for q in sight.questions if not q.soft] == ["no-start"]
    assert doc.questions[0].of == "tap-00001"
    assert doc.questions[0].offers


def test_jobs_are_in_the_order_of_their_dates_and_tell_what_is_done(store: Store) -> None:
    send(store, made("start", 1, person=1, stages=[21]), made("finish", 2, person=1, stages=[21]))
    jobs = jobs_doc(gather(store, NOW)).jobs
    assert [(j.id, j.stages_done, j.stages) for j in jobs] == [(1, 0, 4), (2, 1, 4)]


def test_one_job_has_the_minutes_of_its_stages(store: Store) -> None:
    end = NOW + timedelta(minutes=45)
    send(store, made("start", 1, person=1, stages=[31]))
    send(store, made("finish", 2, end, person=1, stages=[31]), now=end)
    work = one_job_doc(gather_job(store, 3, end), 3).work[0]
    assert (work.stage, work.unit, work.attended_min) == (31, "pieces", 45)
    assert (work.started_at, work.finished_at) == (NOW, end)
