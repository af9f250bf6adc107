"""Jobs made from a pattern, their tags, and the open list."""

from datetime import date
from typing import Any

import pytest

from shoptrack.errors import BadInput, NotFound
from shoptrack.store import jobs
from shoptrack.store.db import Store
from shoptrack.store.edits import history
from shoptrack.store.jobs import add_job, close_job, free_tag, job_row, open_jobs, reopen_job
from shoptrack.store.tables import PatternNeedRow, PatternStageRow
from tests.store.making import NOW, furnish, order


def ask(**changes: Any) -> dict[str, Any]:
    return {"title": "tray", "customer": "Ms Fern", "pieces": 2, "now": NOW, **changes}


def test_a_job_has_the_stages_of_the_pattern(store: Store) -> None:
    """Two trays: milling is 1 + 2 for each, the glue-up's measure was said, sanding is one for each."""
    with store.writing() as session:
        made = furnish(session)
        asked = ask(revision_id=made.revision, quantities={2: 3.5}, promised_on=date(2026, 4, 1))
        job_id = add_job(session, **asked).id
    with store.reading() as session:
        job = job_row(session, job_id)
        mill, glue, sand = job.stages
        assert [stage.quantity for stage in job.stages] == [5.0, 3.5, 2.0]
        assert [(need.needs_id, need.by_rounds) for need in glue.needs] == [(mill.id, True)]
        assert [(need.needs_id, need.least_wait_min) for need in sand.needs] == [(glue.id, 60.0)]
        assert [(clamp.pool_id, clamp.count, clamp.per_piece) for clamp in glue.clamps] == [
            (made.pool, 4, True)
        ]
        assert [(tool.tool_id, tool.share) for tool in mill.tools] == [(made.bit, 0.5)]
        assert (glue.joint, glue.recipe_id, glue.hands_at_min) == ("wide face", made.glue, [5, 10])
        assert (job.promised_on, job.pattern_revision_id) == (date(2026, 4, 1), made.revision)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"revision_id": 99}, "no such pattern"),
        ({"pieces": 0}, "at least one piece"),
        ({"quantities": {7: 1.0}}, "no stage 7"),
        ({"quantities": {1: 0.0}}, "above nought"),
        ({"tag": "K7"}, "K7 is on another open job"),
    ],
)
def test_what_can_not_be_taken_is_said(store: Store, changes: dict[str, Any], sentence: str) -> None:
    with store.writing() as session:
        made = furnish(session)
        add_job(session, **ask(revision_id=made.revision, tag="K7"))
        with pytest.raises(BadInput, match=sentence):
            add_job(session, **ask(**{"revision_id": made.revision, **changes}))


def test_stages_that_wait_for_each_other_make_no_job(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        first, second, _ = session.query(PatternStageRow).order_by(PatternStageRow.position)
        session.add(PatternNeedRow(stage_id=first.id, needs_id=second.id))
        session.flush()
        session.expire_all()
        with pytest.raises(BadInput, match=r"wait for each other: stage \d waits for stage"):
            add_job(session, **ask(revision_id=made.revision))


def test_tags_have_no_letter_that_reads_as_a_digit_and_no_open_job_twice(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        tags = [add_job(session, **ask(revision_id=made.revision)).tag for _ in range(194)]
    assert len(set(tags)) == 194
    assert not set("".join(tags)) & set("OI01")
    assert [len(tag) for tag in tags] == [2] * 192 + [3] * 2
    assert tags[:3] == ["A2", "B2", "C2"]


def test_a_tag_just_wiped_off_rests(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        job = add_job(session, **ask(revision_id=made.revision))
        close_job(session, job.id, NOW)
        assert (job.tag, free_tag(session)) == ("A2", "B2")
        add_job(session, **ask(revision_id=made.revision, tag="A2"))  # but it may be given by hand


def test_when_every_tag_is_on_an_open_job(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(jobs, "TAG_LETTERS", "K")
    monkeypatch.setattr(jobs, "TAG_DIGITS", "7")
    with store.writing() as session:
        made = furnish(session)
        tags = [add_job(session, **ask(revision_id=made.revision)).tag for _ in range(2)]
        assert tags == ["K7", "K77"]
        with pytest.raises(BadInput, match="close some first"):
            free_tag(session)


def test_the_open_list_is_by_promised_date(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        days = {"none": None, "late": date(2026, 5, 1), "soon": date(2026, 4, 1), "closed": date(2026, 3, 9)}
        made_jobs = {
            title: add_job(session, **ask(revision_id=made.revision, title=title, promised_on=day))
            for title, day in days.items()
        }
        close_job(session, made_jobs["closed"].id, NOW, made.ann)
    with store.writing() as session:
        assert [job.title for job in open_jobs(session)] == ["soon", "late", "none"]
        closed = made_jobs["closed"].id
        assert [line.person_id for line in history(session, "jobs", closed)] == [made.ann]
        reopen_job(session, closed, NOW)
        assert len(open_jobs(session)) == 4


def test_a_job_that_is_not_there(store: Store) -> None:
    with store.writing() as session:
        order(session, furnish(session))
        with pytest.raises(NotFound):
            job_row(session, 99)
        with pytest.raises(NotFound):
            close_job(session, 99, NOW)
