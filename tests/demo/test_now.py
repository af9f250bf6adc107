from datetime import timedelta

import pytest

from shoptrack.flows.shopfloor import Sight, gather
from shoptrack.store import inspection
from shoptrack.store.db import Store
from tests.demo.conftest import TUESDAY, Make, wall


def seen(store: Store, now: str) -> Sight:
    return gather(store, wall(now))


def stage(sight: Sight, title: str, name: str) -> int:
    job = next(j.id for j in sight.world.jobs.values() if j.title == title)
    return next(s.id for s in sight.world.stages.values() if s.job == job and s.name == name)


@pytest.fixture
def tuesday(short: Make) -> Sight:
    return seen(short(TUESDAY), TUESDAY)


def test_about_a_dozen_jobs_are_open_at_all_stages(tuesday: Sight) -> None:
    open_jobs = [j for j in tuesday.world.jobs.values() if j.closed_at is None]
    states = {s.state for j in open_jobs for s in tuesday.stages_of(j.id)}
    assert 11 <= len(open_jobs) <= 14
    assert states == {"waiting", "ready", "in hand", "running", "set down", "curing", "put aside", "done"}


def test_one_promise_is_near_with_much_left_to_do(tuesday: Sight) -> None:
    job = next(j for j in tuesday.world.jobs.values() if j.title == "two reed doors")
    left = [s for s in tuesday.stages_of(job.id) if s.state != "done"]
    assert job.promised_on is not None
    assert (job.promised_on - tuesday.now.date()).days <= 5
    assert len(left) >= 8


def test_the_right_people_have_the_right_things_in_hand(tuesday: Sight) -> None:
    """Maren oils within earshot of the router; Idris mills three jobs' boards at once."""
    hands = {tuesday.world.people[p].name: now.stages for p, now in tuesday.replayed.people.items()}
    assert hands["Maren"] == (stage(tuesday, "six trays, ash", "oil the trays"),)
    assert len({tuesday.world.stages[s].job for s in hands["Idris"]}) == 3
    router = tuesday.standings[stage(tuesday, "two reed doors", "carve the panels")]
    assert router.state == "running"
    assert router.until_at is not None
    assert router.until_at > tuesday.now


def test_marks_run_now_and_none_is_missed(tuesday: Sight) -> None:
    found = {(tuesday.world.stages[u.stage].name, u.mark.mark.role) for u in tuesday.untils}
    assert found == {
        ("oil the trays", "wipe"),
        ("inlay the lids", "scrape"),
        ("varnish the boxes", "recoat"),
        ("seal the doors", "recoat"),
    }
    assert not any(u.missed for u in tuesday.untils)


def test_things_are_in_clamps_and_their_clamps_are_off_the_wall(tuesday: Sight) -> None:
    top = tuesday.standings[stage(tuesday, "table for ten, elm", "join the halves")]
    assert top.state == "curing"
    assert sum(n for _, n in top.work.rounds[0].clamps) == 6
    pools = {tuesday.world.pools[p].name: n for p, n in tuesday.replayed.free_clamps.items()}
    assert pools["50s"] == 8 - 6
    assert pools["12s"] == 16 - 5 - 4


def test_rounds_are_as_uneven_as_the_work_was(tuesday: Sight) -> None:
    """Seven inlays, then five, then four, of twenty; what follows may start on those that are ready."""
    lids = stage(tuesday, "boxes with leaves", "inlay the lids")
    assert [r.count for r in tuesday.replayed.passes[lids][0].rounds] == [7, 5, 4]
    fitting = tuesday.standings[stage(tuesday, "boxes with leaves", "fit lids and hinges")]
    assert fitting.state == "ready"
    assert 0 < fitting.ready_count < 4


def test_a_cold_night_left_a_joint_in_doubt(tuesday: Sight) -> None:
    bends = tuesday.standings[stage(tuesday, "low stools, ash", "glue the bends")]
    assert bends.doubtful
    assert [q.stages for q in tuesday.questions if q.asks == "doubtful-joint"] == [(bends.stage,)]


def test_two_spoiled_lids_go_back_and_ask_about_the_edge(tuesday: Sight) -> None:
    spoil = next(s for s in tuesday.replayed.spoils if s.count == 2)
    assert (spoil.out_of, spoil.cause) == (6, "dull edge")
    redo = tuesday.replayed.passes[spoil.way_back][1]
    assert redo.quantity == pytest.approx(1.2 * 2)
    assert "found-dull" in {q.asks for q in tuesday.questions}


def test_one_timer_was_left_running_and_is_asked_about(tuesday: Sight) -> None:
    asked = [q for q in tuesday.questions if q.asks == "still-on"]
    assert [q.stages for q in asked] == [(stage(tuesday, "kitchen stools, ash", "sand the stools"),)]
    assert asked[0].at < tuesday.now - timedelta(days=1)


def test_one_stage_is_put_aside_for_lumber(tuesday: Sight) -> None:
    aside = [a for a in tuesday.replayed.asides.values()]
    assert [(a.reason, a.stage) for a in aside] == [
        ("lumber", stage(tuesday, "wide trays, ash", "rough the blanks"))
    ]
    assert aside[0].look_again_on is not None
    assert aside[0].look_again_on > tuesday.now.date()


def test_nothing_was_begun_before_its_time(tuesday: Sight) -> None:
    open_jobs = {j.id for j in tuesday.world.jobs.values() if j.closed_at is None}
    early = [p for ps in tuesday.replayed.passes.values() for p in ps if p.early and p.job in open_jobs]
    assert early == []


@pytest.mark.parametrize(
    ("now", "at_work"),
    [
        ("2026-11-24T07:41", True),  # eleven minutes after opening
        ("2026-11-23T23:30", False),  # a night
        ("2026-11-22T13:00", False),  # a Sunday
        ("2026-11-02T09:15", True),  # the Monday after clocks went back
        ("2026-03-08T02:30", False),  # a wall time that the clocks skip
        ("2026-07-08T12:10", False),  # a lunch in summer
    ],
)
def test_it_is_told_for_any_hour(short: Make, now: str, at_work: bool) -> None:
    """Outside hours nobody but the forgotten timer has anything in hand; nothing is wet or running."""
    store = short(now)
    sight = seen(store, now)
    people = {sight.world.people[p].name for p in sight.replayed.people}
    assert people == ({"Maren", "Idris", "Wilda"} if at_work else {"Wilda"})
    assert not any(u.missed for u in sight.untils)
    assert any(sight.world.stages[u.stage].name == "seal the doors" for u in sight.untils)
    states = [s.state for s in sight.standings.values()]
    assert "curing" in states
    assert ("running" in states) == at_work
    assert {"still-on", "found-dull", "doubtful-joint"} <= {q.asks for q in sight.questions}
    with store.reading() as session:
        assert inspection.replay_check(session, wall(now)) == []
