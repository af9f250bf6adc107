"""The Floor's view on a busy Wednesday, 13:24, and on quieter days."""

from datetime import date, timedelta

from shoptrack.flows.floor import FloorView, floor
from shoptrack.flows.planning.next_up import Why, next_up
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.shopfloor import gather
from tests.joinery import NOW, PIET, BusyDay, Joinery, at


def view(joinery: Joinery, later_min: float = 0) -> FloorView:
    return floor(gather(joinery.store, NOW + timedelta(minutes=later_min)))


def test_marks_that_need_hands_come_soonest_first(joinery: Joinery, day: BusyDay) -> None:
    """Oil on since 13:19 is to be wiped off within 20 min at 20 °C; glue closed 12:48 is scraped by 13:48."""
    told = [(m.role, m.until_at, m.soon) for m in view(joinery).misses if not m.missed]
    assert ("wipe", at("13:39"), True) in told
    assert ("scrape", at("13:48"), True) in told
    assert [t[1] for t in told] == sorted(t[1] for t in told)


def test_a_mark_that_was_missed_says_so_until_somebody_does(joinery: Joinery, day: BusyDay) -> None:
    missed = [m for m in view(joinery, 16).missed if m.role == "wipe"]
    before = [m for m in view(joinery).misses if m.role == "wipe"]
    assert [m.place for m in missed] == [m.place for m in before]
    assert len(missed) == 1
    joinery.tap("tended", at("13:41"), day.letter["oiling"], person=PIET, choice="wipe")
    assert not [m for m in (*view(joinery, 18).misses, *view(joinery, 18).missed) if m.role == "wipe"]


def test_recoat_is_named_within_a_day_and_a_half(joinery: Joinery, day: BusyDay) -> None:
    """The coat of 13:19 is ready in the evening and has to be followed within the window of its oil."""
    seen = view(joinery)
    recoat = next(m for c in seen.curing for m in c.marks if m.role == "recoat")
    assert recoat.until_at is not None
    late = floor(gather(joinery.store, recoat.until_at + timedelta(minutes=1)))
    assert [m.missed for m in late.missed if m.role == "recoat"] == [True]
    assert not [m for m in late.misses if m.role == "recoat"]


def test_a_cold_joint_is_asked_about(joinery: Joinery, day: BusyDay) -> None:
    """The panel glued at 16:35 was in clamps when the heat went off; 9.5 °C is under this glue's 10 °C."""
    (doubt,) = view(joinery).doubts
    assert (doubt.stage, doubt.coldest_c) == ("panel glue-up", 9.5)
    assert any(c.doubtful and c.coldest_c == 9.5 for c in view(joinery).curing)


def test_people_have_their_minutes_against_the_usual(joinery: Joinery, day: BusyDay) -> None:
    """Una at the frame since 13:00: 15 + 4 × 10 usual, 24 so far. Piet at the oil since 13:15."""
    una, piet = view(joinery).people
    assert [(p.name, p.minutes, p.usual_min) for p in (una, piet)] == [("Una", 24, 55), ("Piet", 9, 65)]
    assert piet.cautions == ("Oily rags heat themselves: spread them out to dry outside.",)


def test_each_gets_another_stage_next(joinery: Joinery, day: BusyDay) -> None:
    """The letter tray was promised first: its milling goes to one, its inlay to the other."""
    una, piet = view(joinery).people
    assert una.after is not None
    assert piet.after is not None
    assert una.after.place.title == piet.after.place.title == "letter tray"
    assert (una.after.place.name, piet.after.place.name) == ("milling", "inlay")


def planned(joinery: Joinery, later_min: float = 0) -> FloorView:
    sight = gather(joinery.store, NOW + timedelta(minutes=later_min))
    return floor(sight, next_up(sight, plan_now(joinery.store, sight)))


def test_by_the_plan_each_gets_another_stage_with_a_reason(joinery: Joinery, day: BusyDay) -> None:
    """What comes after what is in hand: when, which, and what waiting would cost."""
    una, piet = planned(joinery).people
    assert una.after is not None
    assert piet.after is not None
    assert una.after.place.stage != piet.after.place.stage
    assert una.after.place.stage == day.hall["panel glue-up"]
    assert una.slot is not None
    assert (una.slot.starts_at, una.slot.names) == (at("14:00"), ("Una",))
    assert isinstance(una.because, Why)
    assert una.because.cures == "cures"


def test_what_is_ready_is_in_the_plans_order_with_who_and_when(joinery: Joinery, day: BusyDay) -> None:
    seen = planned(joinery)
    assert seen.slots is not None
    slots = [seen.slots[c.place.stage] for c in seen.ready]
    starts = [slot.starts_at or NOW for slot in slots]
    assert starts == sorted(starts)
    assert all(slot.names for slot in slots)
    assert {c.place.stage for c in seen.ready} == {c.place.stage for c in view(joinery).ready}


def test_who_is_not_here_is_given_nothing(joinery: Joinery, day: BusyDay) -> None:
    """At 18:00 Piet has gone, though the plan knows what he does in the morning."""
    joinery.tap("finish", at("13:24"), day.letter["oiling"], person=PIET, count=1)
    seen = planned(joinery, 4.6 * 60)
    assert [(p.here, p.after, p.because) for p in seen.people if p.name == "Piet"] == [(False, None, None)]


def test_where_nothing_is_planned_dates_decide(joinery: Joinery) -> None:
    seen = planned(joinery)
    assert seen.slots is None


def test_shop_time_has_no_usual(joinery: Joinery, day: BusyDay) -> None:
    joinery.tap("start", at("13:20"), text="sweeping")
    una = view(joinery).people[0]
    assert (una.shop, una.minutes, una.usual_min, una.stages) == ("sweeping", 4, None, ())


def test_several_stages_have_one_set_up(joinery: Joinery) -> None:
    """Two trays' boards together: 15 + 2 × 10 + 2 × 10, not twice the set-up."""
    first, second = joinery.add("tray", "a", None)["milling"], joinery.add("tray", "b", None)["milling"]
    joinery.tap("start", at("13:00"), first, second)
    una = view(joinery).people[0]
    assert (una.usual_min, una.minutes) == (55, 24)


def test_a_running_machine_says_when_it_needs_hands(joinery: Joinery, day: BusyDay) -> None:
    """55 min of program from 13:21, hands at 10 and 25 min; nobody is alone with it while Piet is here."""
    joinery.tap("finish", at("13:21"), day.game["glue-up"])
    joinery.tap("start", at("13:21"), day.game["carving the well"], insisted=True)
    (run,) = view(joinery, 12).running
    assert (run.station, run.ends_at, run.hands_at) == ("router", at("14:16"), (at("13:46"),))
    assert not run.alone
    joinery.tap("pause", at("13:40"), day.game["carving the well"], goes_on=True)
    joinery.tap("pause", at("13:41"), day.letter["oiling"], person=PIET)
    assert [r.station for r in view(joinery, 20).alone] == ["router"]


def test_lists_stop_and_count_the_rest(joinery: Joinery) -> None:
    for n in range(60):
        joinery.add("tray", f"tray {n}", date(2026, 12, 1) + timedelta(days=n))
    seen = view(joinery)
    assert seen.open_jobs == 60
    assert (len(seen.ready), seen.ready_more) == (6, 54)
    assert seen.ready[0].promised_on == date(2026, 12, 1)


def test_one_row_of_what_must_not_be_missed(joinery: Joinery, day: BusyDay) -> None:
    """The joint in doubt takes a place of the four; marks that are past take none."""
    seen = view(joinery, 16)
    assert seen.doubts
    assert len(seen.misses) + len(seen.doubts) + len(seen.alone) <= 4
    assert not any(m.missed for m in seen.misses)
    assert all(m.missed for m in seen.missed)


def test_a_timer_left_on_overnight_is_nobody_here(joinery: Joinery, day: BusyDay) -> None:
    """Una's frame (55 min usual) was never tapped off: at 22:00 she is not here, and it is said why."""
    seen = floor(gather(joinery.store, at("22:00")))
    assert [(p.name, p.here, p.left_on) for p in seen.people if p.name == "Una"] == [("Una", False, True)]
    assert seen.opens_at == at("8:00", 1)
    assert view(joinery).opens_at is None


def test_clamps_and_warmth_are_on_the_sheet(joinery: Joinery, day: BusyDay) -> None:
    """12 owned; 4 on the elm trays, 3 on the larder panel; 20 °C is usual at that hour."""
    seen = view(joinery)
    assert [(p.name, p.free, p.owned) for p in seen.pools] == [("600 mm", 5, 12)]
    assert [(r.name, r.warmth.c, r.warmth.by) for r in seen.rooms] == [("bench room", 20.0, "usual")]


def test_soft_questions_stay_off_the_floor(joinery: Joinery, day: BusyDay) -> None:
    assert all(not a.question.soft for a in view(joinery).questions)
    assert any(a.question.asks == "no-start" for a in view(joinery).questions)


def test_an_empty_shop_has_an_empty_floor(joinery: Joinery) -> None:
    seen = view(joinery)
    assert seen.open_jobs == 0
    assert seen.misses == seen.curing == seen.ready == seen.running == seen.questions == ()
