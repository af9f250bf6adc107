"""Marks of rounds: what must not be missed, and which joints somebody must judge."""

from dataclasses import replace
from datetime import date, datetime, time

from shoptrack.engine.marks import cure_questions, gate_at, room_of, round_cures, untils
from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import Overtime, Question, Replayed, Until, World
from shoptrack.engine.states import stand
from tests.engine.shop import ANN, BEN, OIL, Pencil, at, glue_up, shop, stage

SATURDAY = date(2026, 3, 14)
COATS = shop(stage(1, "finishing", quantity=3, recipe=OIL, rounds=True))


def calls(book: Pencil, world: World, when: str) -> list[tuple[str, bool]]:
    found: tuple[Until, ...] = untils(stand(replay(book.entries, world, at(when)), world), at(when))
    return [(u.mark.mark.role, u.missed) for u in found]


def asked(book: Pencil, world: World, when: str) -> list[Question]:
    replayed = replay(book.entries, world, at(when))
    return list(cure_questions(stand(replayed, world), replayed, world))


def coat() -> Pencil:
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:20", "closed", ANN, 1)
    book.tap("8:25", "pause", ANN, 1)
    return book


def test_wipe_off_comes_first_and_goes_when_somebody_wiped() -> None:
    """Oil on at 8:20: wipe by 8:35, recoat by 4:20 tomorrow. Wiped at 8:30: only the recoat is left."""
    book = coat()
    assert calls(book, COATS, "8:26") == [("wipe", False), ("recoat", False)]
    assert calls(book, COATS, "8:40") == [("wipe", True), ("recoat", False)]
    book.tap("8:30", "tended", ANN, 1, choice="wipe")
    assert calls(book, COATS, "8:40") == [("recoat", False)]


def test_past_recoat_by_is_missed_and_the_next_coat_ends_it() -> None:
    """At 4:20 the window closes; at 8:00 it reads as missed; the second coat, scuffed, opens a window of its
    own."""
    book = coat()
    book.tap("8:30", "tended", ANN, 1, choice="wipe")
    assert calls(book, COATS, "wed 8:00") == [("recoat", True)]
    book.tap("wed 8:10", "start", ANN, 1)
    book.tap("wed 8:30", "closed", ANN, 1)
    assert calls(book, COATS, "wed 8:31") == [("wipe", False), ("recoat", False)]


def test_a_missed_mark_is_not_called_for_ever() -> None:
    """Three days later nobody is told to wipe oil that is hard."""
    assert calls(coat(), COATS, "sat 12:00") == []


def test_the_last_coat_has_no_recoat_window() -> None:
    """Finished after the third coat: wipe it, but nothing is to be recoated."""
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:20", "closed", ANN, 1, count=3.0)
    book.tap("8:25", "finish", ANN, 1)
    assert calls(book, COATS, "8:26") == [("wipe", False)]


def test_closed_past_the_open_time_is_asked_about() -> None:
    """Spread 8:00, open 10 min at 20 °C, closed 8:12: somebody must judge; closed 8:09: nobody asks."""
    world = shop(glue_up(1))
    for closing, count in (("8:12", 1), ("8:09", 0)):
        book = Pencil()
        book.tap("7:50", "start", ANN, 1)
        book.tap("8:00", "spread", ANN, 1)
        closed = book.tap(closing, "closed", ANN, 1)
        questions = asked(book, world, "8:30")
        assert [q.asks for q in questions] == ["open-time"] * count
        assert [q.of for q in questions] == [closed] * count
        book.tap("8:35", "answer", ANN, of=closed, asks="open-time", choice="sound")
        assert asked(book, world, "8:40") == []


def test_doubt_is_asked_once_it_was_cold_not_before() -> None:
    """The usual night falls to 8 °C at 17:00, under a limit of 10 °C: nothing is asked at 16:58, it is at
    7:00."""
    world = shop(glue_up(1), night_c=8.0)
    book = Pencil()
    book.tap("16:30", "start", ANN, 1)
    book.tap("16:50", "closed", ANN, 1)
    assert asked(book, world, "16:58") == []
    (question,) = asked(book, world, "wed 7:00")
    assert question.asks == "doubtful-joint"
    assert "too cold" in question.words
    assert [o.choice for o in question.offers] == ["sound", "redo"]


def test_readings_of_a_warm_night_take_the_doubt_away() -> None:
    """Read 15 °C every three hours through a night that is usually 8 °C: no doubt, whenever the readings
    arrived."""
    world = shop(glue_up(1), night_c=8.0)
    book = Pencil()
    book.tap("16:30", "start", ANN, 1)
    book.tap("16:50", "closed", ANN, 1)
    for when in ("16:45", "19:45", "22:45", "wed 1:45", "wed 4:45", "wed 7:45"):
        book.tap(when, "temperature", ANN, room=1, value_c=15.0)
    assert asked(book, world, "wed 8:00") == []


def test_the_room_is_the_stage_s_then_the_station_s_then_the_first() -> None:
    """A stage at a station stands in the station's room; a shop without rooms is taken to be at 20 °C."""
    world = shop(stage(1, station=1), stage(2), stage(3, room=1))
    assert [room_of(world, s).name for s in world.stages.values()] == ["bench room"] * 3
    bare = replace(world, rooms={})
    assert room_of(bare, world.stages[2]).name == "the shop"
    assert room_of(bare, world.stages[2]).profiles[0][1].heated_c == (20.0,) * 12


def test_a_shop_that_works_overtime_is_warm_and_its_glue_cures_sooner() -> None:
    """Glued up on Friday at 16:00 in a room of 20 °C by day, 8 °C else; the Saturday is worked, or not."""
    cold = shop(glue_up(1), c=20.0, night_c=8.0)
    warm, bens = (
        replace(cold, calendar=replace(cold.calendar, overtime=(Overtime(who, SATURDAY, time(8), time(17)),)))
        for who in (None, BEN)
    )
    book = Pencil()
    book.tap("fri 15:40", "start", ANN, 1)
    book.tap("fri 16:00", "closed", ANN, 1)
    ready = [gate(replay(book.entries, world, at("fri 16:10")), world) for world in (cold, warm, bens)]
    assert ready[1] < ready[0]
    assert ready[2] == ready[0], "one person's hours heat no room"


def gate(replayed: Replayed, world: World) -> datetime:
    found = gate_at(round_cures(replayed, world, 1), (0,))
    assert found is not None
    return found
