"""Wrong taps put right: struck, moved, given to another, lunch and closing; each line stays readable."""

from datetime import date, time

import pytest

from shoptrack.errors import BadInput, NotFound, Refused
from shoptrack.flows.corrections import TapsView, Wrong, correct, taps_view
from shoptrack.flows.shopfloor import gather
from shoptrack.store.db import Store
from shoptrack.store.inspection import replay_check
from shoptrack.store.jobs import close_job
from shoptrack.store.tools import make_edge, make_tool
from tests.joinery import NOW, PIET, UNA, Joinery, at


def lines(store: Store, person: int = UNA) -> list[str]:
    return [f"{line.kind} {line.text}".strip() for day in seen(store, person).days for line in day.lines]


def seen(store: Store, person: int = UNA) -> TapsView:
    return taps_view(store, person, None, NOW)


def put_right(store: Store, of: str, what: str, **more: object) -> None:
    correct(store, Wrong(of=of, what=what, by=UNA, id=f"form-{what}-{of}", **more), NOW)  # type: ignore[arg-type]


def milled(joinery: Joinery, start: str, end: str, days: int = 0) -> tuple[dict[str, int], str]:
    tray = joinery.add("tray", "tray", None)
    begun = joinery.tap("start", at(start, days), tray["milling"])
    joinery.tap("pause", at(end, days), tray["milling"])
    return tray, begun


def minutes(store: Store, stage: int) -> float:
    return gather(store, NOW).replayed.passes[stage][0].attended_min


def same_as_log(store: Store) -> None:
    with store.reading() as session:
        assert replay_check(session, NOW) == []


def test_three_days_by_day_the_last_first_shop_time_too(joinery: Joinery) -> None:
    joinery.tap("start", at("9:00", -3), text="ordering")
    joinery.tap("start", at("9:00", -1), text="jigs")
    joinery.tap("start", at("9:00"), text="sweeping")
    joinery.tap("start", at("9:05"), text="phone", person=PIET)
    view = seen(joinery.store)
    assert [day.on for day in view.days] == [date(2026, 11, 25), date(2026, 11, 24)]
    assert lines(joinery.store) == ["start sweeping", "start jigs"]
    assert view.earlier_on == date(2026, 11, 22)
    older = taps_view(joinery.store, UNA, view.earlier_on, NOW)
    assert [line.text for day in older.days for line in day.lines] == ["ordering"]
    assert view.others == ((PIET, "Piet"),)
    with pytest.raises(NotFound):
        taps_view(joinery.store, 99, None, NOW)


def test_a_tap_on_a_job_that_is_closed_is_shown_with_its_tag_and_struck(joinery: Joinery) -> None:
    tray, begun = milled(joinery, "9:00", "9:30")
    with joinery.store.writing() as session:
        close_job(session, tray["job"], NOW)
    (day,) = seen(joinery.store).days
    assert day.lines[0].stages[0].endswith(" milling")
    put_right(joinery.store, begun, "strike")
    assert seen(joinery.store).days[0].lines[-1].struck
    same_as_log(joinery.store)


def test_a_strike_can_be_struck_and_twice_is_once(joinery: Joinery) -> None:
    tray, begun = milled(joinery, "9:00", "9:30")
    for _ in range(2):
        put_right(joinery.store, begun, "strike")
    assert minutes(joinery.store, tray["milling"]) == 0
    strike = next(line.id for line in seen(joinery.store).days[0].lines if line.kind == "strike")
    put_right(joinery.store, strike, "strike")
    assert minutes(joinery.store, tray["milling"]) == 30
    same_as_log(joinery.store)


def test_a_tap_is_moved_to_a_time_of_its_own_day_or_another(joinery: Joinery) -> None:
    tray, begun = milled(joinery, "9:00", "9:30", -1)
    sweep = joinery.tap("start", at("10:00"), text="sweeping")
    put_right(joinery.store, begun, "move", clock=time(8, 30))
    assert minutes(joinery.store, tray["milling"]) == 60
    put_right(joinery.store, sweep, "move", clock=time(16, 0), on=date(2026, 11, 24))
    moved = next(line for day in seen(joinery.store).days for line in day.lines if line.id == sweep)
    assert (moved.at, moved.first_at) == (at("16:00", -1), at("10:00"))


@pytest.mark.parametrize(
    ("more", "sentence"),
    [({}, "Give the time"), ({"clock": time(13, 25)}, "still to come"), ({"clock": time(23, 59)}, "to come")],
)
def test_a_time_that_is_missing_or_to_come(joinery: Joinery, more: dict[str, object], sentence: str) -> None:
    _, begun = milled(joinery, "9:00", "9:30")
    with pytest.raises(BadInput, match=sentence):
        put_right(joinery.store, begun, "move", **more)


def test_it_was_the_other_with_the_time_that_was_put_right(joinery: Joinery) -> None:
    """Una's start is moved to 8:30 and then given to Piet: his counts from 8:30, not from 9:00."""
    tray, begun = milled(joinery, "9:00", "9:30")
    put_right(joinery.store, begun, "move", clock=time(8, 30))
    for _ in range(2):
        put_right(joinery.store, begun, "was", to=PIET)
    sight = gather(joinery.store, NOW)
    (stint,) = sight.replayed.passes[tray["milling"]][0].stints
    assert (stint.person, stint.start) == (PIET, at("8:30"))
    same_as_log(joinery.store)


def test_lunch_and_closing_are_said_at_any_line_of_the_stint(joinery: Joinery) -> None:
    """Begun at 11:30, left at 13:00: an hour by the shop's hours, one and a half through lunch."""
    late, late_begun = milled(joinery, "16:00", "19:00", -1)
    tray, begun = milled(joinery, "11:30", "13:00")
    assert minutes(joinery.store, tray["milling"]) == 60
    pause = seen(joinery.store).days[0].lines[0].id
    put_right(joinery.store, pause, "lunch")
    assert minutes(joinery.store, tray["milling"]) == 90
    put_right(joinery.store, late_begun, "until", clock=time(18, 0))
    assert minutes(joinery.store, late["milling"]) == 120
    with pytest.raises(BadInput, match="before it was begun"):
        put_right(joinery.store, begun, "until", clock=time(11, 0))
    same_as_log(joinery.store)


def test_shop_time_through_lunch_counts_too(joinery: Joinery) -> None:
    sweep = joinery.tap("start", at("11:45"), text="sweeping")
    joinery.tap("pause", at("12:45"))
    assert gather(joinery.store, NOW).replayed.shop_time[0].minutes == 30
    put_right(joinery.store, sweep, "lunch")
    assert gather(joinery.store, NOW).replayed.shop_time[0].minutes == 60


def test_what_can_not_be_is_refused(joinery: Joinery) -> None:
    note = joinery.tap("note", at("9:00"), text="x", job=joinery.add("tray", "t", None)["job"])
    strike = joinery.tap("strike", at("9:10"), of=note)
    store = joinery.store
    with pytest.raises(NotFound):
        put_right(store, "no-such-tap", "strike")
    with pytest.raises(Refused, match="was struck"):
        put_right(store, note, "move", clock=time(8))
    with pytest.raises(Refused, match="no time of its own"):
        put_right(store, strike, "move", clock=time(8))
    with pytest.raises(Refused, match="Who struck"):
        put_right(store, strike, "was", to=PIET)
    with pytest.raises(Refused, match="Nothing was begun"):
        put_right(store, strike, "lunch")
    start = joinery.tap("start", at("9:20"), text="phone")
    with pytest.raises(BadInput, match="Whose it was"):
        put_right(store, start, "was")
    with pytest.raises(BadInput, match="What was wrong"):
        put_right(store, start, "dance", clock=time(8))


def test_what_was_said_of_an_edge_can_be_struck_moved_and_given_to_another(joinery: Joinery) -> None:
    """Una put B on at nine; it was Piet, at half past eight; and A was never dull."""
    with joinery.store.writing() as session:
        saw = make_tool(session, "saw blade", kind="blade").id
        edge = make_edge(session, saw, "B", at("8:00")).id
    fitted = joinery.tap("edge", at("9:00"), tool=saw, edge=edge, choice="fitted")
    dull = joinery.tap("edge", at("10:00"), tool=saw, edge=edge, choice="found dull")
    put_right(joinery.store, dull, "strike")
    put_right(joinery.store, fitted, "move", clock=time(8, 30))
    (deed,) = gather(joinery.store, NOW).replayed.deeds
    assert (deed.did, deed.at, deed.person) == ("fitted", at("8:30"), UNA)
    put_right(joinery.store, fitted, "was", to=PIET)
    (deed,) = gather(joinery.store, NOW).replayed.deeds
    assert (deed.did, deed.tool, deed.edge, deed.at, deed.person) == ("fitted", saw, edge, at("8:30"), PIET)
    assert "edge" in lines(joinery.store, PIET)
    same_as_log(joinery.store)
