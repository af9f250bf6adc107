"""What the calendar holds: clocks that end, promised days, days to look again; whose keys stay the same."""

from datetime import date, timedelta

import pytest

from shoptrack.errors import NotFound
from shoptrack.flows.calendar import PLANNED_DAYS, Due, Feed, Turn, calendar_feed, person_feed
from shoptrack.flows.jobs import set_closed
from shoptrack.flows.shopfloor import gather
from shoptrack.store.tables import JobRow
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery, at


def feed(joinery: Joinery, later: timedelta = timedelta(0)) -> Feed:
    found = calendar_feed(joinery.store, NOW + later)
    assert found is not None
    return found


def dues(joinery: Joinery, stage: str = "", later: timedelta = timedelta(0)) -> list[Due]:
    return [due for due in feed(joinery, later).dues if not stage or due.stage == stage]


def test_marks_that_gate_or_end_and_clamps_that_are_on(joinery: Joinery, day: BusyDay) -> None:
    """Closed 12:48 at 20 °C by the recipe: scrape by 13:48, clamps off 13:48, work a day after."""
    found = {(d.role, d.what): d.at for d in dues(joinery, "glue-up")}
    assert found[("scrape", "by")] == at("13:48")
    assert found[("clamps off", "from")] == at("13:48")
    work_at = found[("work", "from")]
    assert work_at is not None
    assert work_at > at("12:48", 1)  # the night is colder than the recipe's 20 °C
    assert len(found) == 3


def test_what_was_met_is_no_more_on_it(joinery: Joinery, day: BusyDay) -> None:
    joinery.tap("tended", at("13:20"), day.elm["glue-up"], choice="scrape")
    joinery.tap("unclamp", at("13:21"), day.elm["glue-up"])
    assert [(d.role, d.what) for d in dues(joinery, "glue-up")] == [("work", "from")]


def test_a_coat_has_two_ends_and_says_which_coat(joinery: Joinery, day: BusyDay) -> None:
    found = dues(joinery, "oiling")
    assert {(d.role, d.what) for d in found} == {("wipe", "by"), ("recoat", "from"), ("recoat", "by")}
    assert {(d.tag, d.count, d.quantity) for d in found} == {(found[0].tag, 1, 3)}


def test_promised_days_of_open_jobs(joinery: Joinery, day: BusyDay) -> None:
    """The larder doors have no date; the letter tray goes with its closing; the hall door must be kept."""
    with joinery.store.writing() as session:
        row = session.get(JobRow, day.hall["job"])
        assert row is not None
        row.must_keep = True
    set_closed(joinery.store, day.letter["job"], True, None, NOW)
    found = [d for d in dues(joinery) if d.what == "promised"]
    assert sorted(d.on for d in found if d.on) == [date(2026, 11, 26), date(2026, 11, 27), date(2026, 12, 4)]
    assert [d.on for d in found if d.must_keep] == [date(2026, 12, 4)]
    assert all(d.at is None for d in found)


def test_days_to_look_again_one_for_a_stage_and_one_for_a_whole_job(joinery: Joinery, day: BusyDay) -> None:
    friday = "2026-11-27"
    joinery.tap(
        "put-aside", at("13:20"), day.elm["carving the well"], reason="sharpener", look_again_on=friday
    )
    joinery.tap("put-aside", at("13:21"), job=day.hall["job"], reason="lumber", look_again_on=friday)
    found = [(d.stage, d.on) for d in dues(joinery) if d.what == "look again"]
    assert sorted(found) == [("", date(2026, 11, 27)), ("carving the well", date(2026, 11, 27))]


def test_a_joint_in_doubt_says_so(joinery: Joinery, day: BusyDay) -> None:
    assert {d.doubtful for d in dues(joinery, "panel glue-up")} == {True}
    assert {d.doubtful for d in dues(joinery, "glue-up")} == {False}


def test_a_mark_that_moves_keeps_its_key(joinery: Joinery, day: BusyDay) -> None:
    """The glue-up was closed ten minutes earlier than tapped: same lines, other instants."""
    before = {d.key: d.at for d in dues(joinery, "glue-up")}
    entries = gather(joinery.store, NOW).entries
    closed = next(e.id for e in entries if e.kind == "closed" and e.stages == (day.elm["glue-up"],))
    joinery.tap("retime", at("13:23"), of=closed, to_at=at("12:41").isoformat(), person=PIET)
    after = {d.key: d.at for d in dues(joinery, "glue-up")}
    assert after.keys() == before.keys()
    assert after != before


def test_an_earlier_round_that_comes_late_takes_no_ones_key(joinery: Joinery, day: BusyDay) -> None:
    before = {d.key: d.at for d in dues(joinery, "inlay") if d.role == "work"}
    joinery.tap("closed", at("13:23"), day.letter["inlay"], person=PIET, count=1, ago_min=183)
    after = {d.key: d.at for d in dues(joinery, "inlay") if d.role == "work"}
    assert before.items() <= after.items()
    assert len(after) == len(before) + 1


def test_every_key_is_there_once(joinery: Joinery, day: BusyDay) -> None:
    keys = [d.key for d in dues(joinery)]
    assert len(keys) == len(set(keys)) > 10


def test_the_same_head_gives_the_same_feed_at_another_time_of_day(joinery: Joinery, day: BusyDay) -> None:
    """Half an hour, four and ten hours on: some of it is past, nothing of it has changed."""
    now = feed(joinery)
    for minutes in (30, 240, 600):
        assert feed(joinery, timedelta(minutes=minutes)) == now
    joinery.tap("note", at("13:23"), day.elm["milling"], text="oak, not elm")
    later = feed(joinery)
    assert later.revision > now.revision
    assert later.dues == now.dues


def test_a_shop_without_jobs_has_an_empty_calendar(joinery: Joinery) -> None:
    assert feed(joinery).dues == ()


# --- a person's own -----------------------------------------------------------------------------------


def own(joinery: Joinery, person: int, later: timedelta = timedelta(0)) -> tuple[Turn, ...]:
    found = person_feed(joinery.store, person, NOW + later)
    assert found is not None
    assert found.dues == ()
    return found.turns


def test_a_person_has_what_is_planned_for_them(joinery: Joinery, day: BusyDay) -> None:
    """The frame first, from now on; nothing beyond the fourteen days; of Piet what is Piet's."""
    una, piet = own(joinery, UNA), own(joinery, PIET)
    assert (una[0].stage, una[0].from_at) == ("frame", NOW)
    assert "frame" not in {turn.stage for turn in piet if turn.tag == una[0].tag}
    assert all(turn.from_at < turn.to_at for turn in (*una, *piet))
    assert all(turn.from_at < NOW + PLANNED_DAYS for turn in (*una, *piet))
    keys = [turn.key for turn in (*una, *piet)]
    assert len(set(keys)) == len(keys)


def test_a_turn_that_moves_keeps_its_key(joinery: Joinery, day: BusyDay) -> None:
    """Ten minutes later nothing new was begun, so all that was to begin now begins later."""
    before = {turn.key: turn.from_at for turn in own(joinery, UNA)}
    after = {turn.key: turn.from_at for turn in own(joinery, UNA, timedelta(minutes=10))}
    assert before.keys() & after.keys()
    assert any(after[key] > before[key] for key in before.keys() & after.keys())


def test_the_feed_of_a_person_has_their_name_and_the_shops_has_none(joinery: Joinery, day: BusyDay) -> None:
    found = person_feed(joinery.store, UNA, NOW)
    assert found is not None
    assert found.whose == "Una"
    assert (feed(joinery).whose, feed(joinery).turns) == ("", ())


def test_somebody_who_does_not_work_here_has_no_feed(joinery: Joinery) -> None:
    with pytest.raises(NotFound, match="nobody of that name"):
        person_feed(joinery.store, 77, NOW)
