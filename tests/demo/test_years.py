from collections import Counter
from datetime import timedelta
from statistics import median

from sqlalchemy import func, select

from shoptrack.store import inspection, log
from shoptrack.store.db import Store
from shoptrack.store.tables import EntryRow, JobRow, StageKindRow, StageRow, TallyRow
from tests.demo.conftest import TUESDAY, wall


def test_about_a_hundred_jobs_were_finished_over_eighteen_months(whole: Store) -> None:
    with whole.reading() as session:
        closed = session.scalars(select(JobRow).where(JobRow.closed_at.is_not(None))).all()
    added = [job.added_at for job in closed]
    assert 70 <= len(closed) <= 110
    assert max(added) - min(added) > timedelta(days=420)


def test_more_than_three_hundred_stages_are_done_and_teach_or_not(whole: Store) -> None:
    with whole.reading() as session:
        done = session.scalars(select(TallyRow).where(TallyRow.standing == "done")).all()
    teaches = Counter(row.teaches for row in done)
    assert len(done) > 300
    assert teaches[True] > 300
    assert teaches[False] >= 5
    assert all(bool(row.why_not) != row.teaches for row in done)


def test_every_kind_of_tap_a_shop_makes_is_in_the_log(whole: Store) -> None:
    with whole.reading() as session:
        kinds = set(session.scalars(select(EntryRow.kind).distinct()))
    assert {
        "start", "spread", "closed", "pause", "finish", "unclamp", "tended", "help", "mend", "spoil",
        "strike", "temperature", "put-aside", "note", "answer",
    } <= kinds  # fmt: skip


def test_shop_time_is_logged(whole: Store) -> None:
    with whole.reading() as session:
        entries = log.whole_log(session)
    assert sum(1 for e in entries if e.kind == "start" and not e.stages) > 20


def test_the_tally_agrees_with_the_whole_log(whole: Store) -> None:
    with whole.reading() as session:
        assert inspection.replay_check(session, wall(TUESDAY)) == []


def test_the_log_shows_how_far_the_rules_of_thumb_are_off(whole: Store) -> None:
    """Inlays take longer than the shop thought, flattening less."""
    assert median_share(whole, "inlay", 15, 7) > 1.1
    assert median_share(whole, "flattening", 12, 2.8) < 0.95


def median_share(store: Store, kind: str, setup_min: float, rate_min: float) -> float:
    """The median of what stages of a kind took, as a share of what a rule of thumb gives for them."""
    with store.reading() as session:
        rows = session.execute(
            select(TallyRow.attended_min, TallyRow.quantity)
            .join(StageRow, StageRow.id == TallyRow.stage_id)
            .join(StageKindRow, StageKindRow.id == StageRow.kind_id)
            .where(StageKindRow.name == kind, TallyRow.teaches)
        ).all()
    assert len(rows) > 10
    return median(row.attended_min / (setup_min + rate_min * row.quantity) for row in rows)


def test_no_finished_job_has_a_stage_left_open(whole: Store) -> None:
    with whole.reading() as session:
        open_ones = session.scalar(
            select(func.count())
            .select_from(TallyRow)
            .join(StageRow, StageRow.id == TallyRow.stage_id)
            .join(JobRow, JobRow.id == StageRow.job_id)
            .where(JobRow.closed_at.is_not(None), TallyRow.standing != "done")
        )
    assert open_ones == 0
