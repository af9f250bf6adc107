"""Where stages stand: every state of the trade, what waits for what, machines, rests, redos."""

from dataclasses import replace
from datetime import date

import pytest

from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import ClampNeed, Need, Standing, World
from shoptrack.engine.states import hands_at, nobody_here, stand
from tests.engine.shop import ANN, BEN, OIL, PVA, QUICK, SHORT, Pencil, at, glue_up, shop, stage

ROUTING = stage(
    3,
    "routing",
    job=2,
    attendance="within earshot",
    station=1,
    rule=(5, 1),
    quantity=85,
    hands_at_min=(20.0, 60.0),
)


def see(book: Pencil, world: World, when: str) -> dict[int, Standing]:
    return stand(replay(book.entries, world, at(when)), world)


def test_every_state_is_spelled_as_the_shop_says_it() -> None:
    """One shop with a stage in each of the eight states."""
    world = shop(
        stage(1),
        stage(2, after=(1,)),
        stage(4, "carving"),
        stage(5, "sanding"),
        ROUTING,
        glue_up(6),
        stage(7, "packing"),
        stage(8),
    )
    book = Pencil()
    book.tap("8:00", "start", ANN, 6)
    book.tap("8:20", "closed", ANN, 6)
    book.tap("8:25", "finish", ANN, 6)
    book.tap("8:30", "start", ANN, 7)
    book.tap("8:40", "finish", ANN, 7)
    book.tap("8:40", "start", ANN, 5)
    book.tap("8:50", "start", ANN, 3)
    book.tap("9:00", "start", ANN, 4)
    book.tap("9:05", "put-aside", BEN, 8, reason="lumber")
    states = {n: s.state for n, s in see(book, world, "9:10").items()}
    assert states == {
        1: "ready",
        2: "waiting",
        3: "running",
        4: "in hand",
        5: "set down",
        6: "curing",
        7: "done",
        8: "put aside",
    }


def test_what_follows_a_glue_up_waits_until_it_can_be_worked() -> None:
    """Closed 8:20, workable 24 h later at 20 °C: waiting until 8:20 tomorrow, ready from then."""
    world = shop(glue_up(1), stage(2, after=(1,)))
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:20", "closed", ANN, 1)
    book.tap("8:25", "finish", ANN, 1)
    waiting = see(book, world, "9:00")[2]
    assert (waiting.state, waiting.until_at) == ("waiting", at("wed 8:20"))
    assert [(w.why, w.stage) for w in waiting.waits] == [("curing", 1)]
    assert see(book, world, "wed 8:20")[2].state == "ready"
    assert see(book, world, "wed 8:20")[1].state == "done"


def test_coats_wait_for_each_other() -> None:
    """Three coats: after the first the stage dries until it may be recoated, then lies set down; after the
    last the piece cures until it can be handled."""
    world = shop(stage(1, "finishing", quantity=3, recipe=OIL, rounds=True))
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:20", "closed", ANN, 1)
    book.tap("8:25", "pause", ANN, 1)
    drying = see(book, world, "9:00")[1]
    assert (drying.state, drying.until_at) == ("curing", at("14:20"))
    assert see(book, world, "14:21")[1].state == "set down"
    for when in ("14:30", "wed 8:30"):
        book.tap(when, "start", ANN, 1)
        book.tap(when.replace("30", "40"), "closed", ANN, 1)
        book.tap(when.replace("30", "45"), "pause", ANN, 1)
    last = see(book, world, "wed 9:00")[1]
    assert (last.state, last.until_at) == ("curing", at("wed 18:40"))
    assert see(book, world, "thu 8:00")[1].state == "done"


def test_inlays_wait_for_clamps_not_for_each_other() -> None:
    """Seven of twenty in all seven clamps: nothing to do until these may come off; unclamped, the rest can go
    on though the first seven still cure."""
    world = shop(
        stage(
            1, "inlay", quantity=20, recipe=QUICK, rounds=True, clamps=(ClampNeed(SHORT, 1, per_piece=True),)
        )
    )
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:20", "closed", ANN, 1, count=7.0)
    book.tap("8:25", "pause", ANN, 1)
    held = see(book, world, "8:30")[1]
    assert (held.state, held.until_at) == ("curing", at("9:20"))
    book.tap("9:20", "unclamp", ANN, 1)
    assert see(book, world, "9:21")[1].state == "set down"


def test_a_joint_that_was_too_cold_is_never_simply_done() -> None:
    """Closed at 16:50, the night falls to 8 °C under a limit of 10 °C: in doubt until somebody judges it;
    what follows waits for that word; sound lets it go on, redo opens it again."""
    world = shop(glue_up(1), stage(2, after=(1,)), night_c=8.0)
    book = Pencil()
    book.tap("16:30", "start", ANN, 1)
    glued = book.tap("16:50", "closed", ANN, 1)
    book.tap("16:55", "finish", ANN, 1)
    assert not see(book, world, "16:58")[1].doubtful
    doubted = see(book, world, "sat 12:00")
    assert (doubted[1].state, doubted[1].until_at, doubted[1].doubtful) == ("curing", None, True)
    assert [w.why for w in doubted[2].waits] == ["doubtful"]
    sound = Pencil(entries=list(book.entries))
    sound.tap("sat 12:00", "answer", ANN, of=glued, asks="doubtful-joint", choice="sound")
    assert see(sound, world, "nextmon 17:00")[2].state == "ready"
    book.tap("sat 12:00", "answer", ANN, of=glued, asks="doubtful-joint", choice="redo")
    again = see(book, world, "sat 12:10")
    assert (again[1].state, again[1].work.redo, again[1].work.quantity) == ("ready", 1, 3)
    assert again[2].state == "waiting"


def test_a_rest_begins_by_itself() -> None:
    """Boards rest two days (2 × 1440 min, no hands) after rough milling: then the milling is ready."""
    world = shop(
        stage(1, "rough milling"),
        stage(2, "rest", attendance="none", rule=(0, 1440), quantity=2, after=(1,)),
        stage(3, "milling", after=(2,)),
    )
    book = Pencil()
    assert see(book, world, "8:00")[2].state == "waiting"
    book.tap("8:00", "start", ANN, 1)
    book.tap("10:00", "finish", ANN, 1)
    resting = see(book, world, "11:00")
    assert (resting[2].state, resting[2].until_at) == ("curing", at("thu 10:00"))
    assert (resting[3].state, resting[3].until_at) == ("waiting", at("thu 10:00"))
    assert see(book, world, "thu 10:00")[3].state == "ready"
    book.tap("wed 9:00", "finish", ANN, 2)
    assert see(book, world, "wed 9:01")[3].state == "ready"


def test_a_station_that_is_taken_is_named() -> None:
    """The router runs for job 2: another stage that needs it is ready but waits for the station."""
    world = shop(ROUTING, stage(9, "routing", job=3, station=1))
    book = Pencil()
    book.tap("8:50", "start", ANN, 3)
    other = see(book, world, "9:10")[9]
    assert (other.state, [(w.why, w.stage) for w in other.waits]) == ("ready", [("station", 3)])


def test_a_place_with_room_for_two_is_taken_by_two() -> None:
    """Ann is at the bench: a third may come. Ben comes too: now it waits, and neither of the two does."""
    world = shop(*(stage(n, job=n, station=1) for n in (1, 2, 3)))
    world = replace(world, stations={1: replace(world.stations[1], places=2)})
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    assert see(book, world, "8:05")[3].waits == ()
    book.tap("8:10", "start", BEN, 2)
    stood = see(book, world, "8:15")
    assert [(w.why, w.stage) for w in stood[3].waits] == [("station", 2)]
    assert [(stood[n].state, stood[n].waits) for n in (1, 2)] == [("in hand", ()), ("in hand", ())]


def test_a_running_machine_says_when_it_ends_and_when_it_needs_hands() -> None:
    """Five minutes of set-up and 85 of cutting by the program from 9:00: ends 10:30; tool changes 9:20 and
    10:00; after a stop at 9:30 and a start at 9:40 what is left ends 10:40."""
    world = shop(ROUTING)
    book = Pencil()
    book.tap("9:00", "start", ANN, 3)
    running = see(book, world, "9:10")[3]
    assert running.until_at == at("10:30")
    assert hands_at(ROUTING, running.work) == (at("9:20"), at("10:00"))
    book.tap("9:30", "pause", ANN, 3)
    book.tap("9:40", "start", ANN, 3)
    running = see(book, world, "9:45")[3]
    assert running.until_at == at("10:40")
    assert hands_at(ROUTING, running.work) == (at("10:10"),)


def test_router_running_nobody_here() -> None:
    """Ann is here until she lunches, pauses or goes home; Ben, carving, is in earshot too."""
    world = shop(ROUTING, stage(4, "carving"))

    def alone(book: Pencil, when: str) -> bool:
        return nobody_here(replay(book.entries, world, at(when)), world)

    book = Pencil()
    book.tap("11:00", "start", ANN, 3)
    assert not alone(book, "11:30")
    assert alone(book, "12:10")
    assert not alone(book, "12:50")
    book.tap("13:00", "start", BEN, 4)
    book.tap("13:05", "pause", ANN, 3, goes_on=True)
    assert not alone(book, "13:10")
    book.tap("13:15", "pause", BEN, 4)
    assert alone(book, "13:20")
    assert alone(book, "17:30")


def test_a_redo_waits_only_for_the_redo_before_it() -> None:
    """One of four pieces goes back to milling: the carving of that piece waits for its milling, not for the
    others."""
    world = shop(stage(1), stage(2, "carving", after=(1,)), stage(3, after=(2,)), pieces=4)
    book = Pencil()
    for number, when in ((1, "8:00"), (2, "9:00")):
        book.tap(when, "start", ANN, number)
        book.tap(when.replace("00", "30"), "finish", ANN, number)
    book.tap("9:40", "spoil", ANN, 2, count=1.0, way_back=1, cause="wood")
    states = see(book, world, "9:50")
    assert [states[n].state for n in (1, 2, 3)] == ["ready", "waiting", "waiting"]
    book.tap("10:00", "start", ANN, 1)
    book.tap("10:10", "finish", ANN, 1)
    states = see(book, world, "10:20")
    assert [states[n].state for n in (1, 2, 3)] == ["done", "ready", "waiting"]


def test_a_least_wait_is_kept() -> None:
    """Seven days between edge-gluing with water-based glue and surfacing a show face, lest joints sink
    (Wengert, University of Wisconsin extension: generally 7 days): the follower waits them out."""
    world = shop(glue_up(1, PVA), stage(2, "flattening", needs=(Need(1, least_wait_min=7 * 1440),)))
    book = Pencil()
    book.tap("8:00", "start", ANN, 1)
    book.tap("8:20", "closed", ANN, 1)
    book.tap("8:25", "finish", ANN, 1)
    waiting = see(book, world, "sun 12:00")[2]
    assert waiting.state == "waiting"
    assert waiting.until_at is not None
    assert (waiting.until_at - at("8:25")).days == 7


def test_an_empty_shop_stands_nowhere() -> None:
    """No stages, no taps: no standings."""
    assert see(Pencil(), shop(), "8:00") == {}


@pytest.mark.parametrize("look", [date(2026, 3, 13), None])
def test_put_aside_carries_the_day_to_look_again(look: date | None) -> None:
    """Put aside until Friday, or with no day named: the state is the same."""
    book = Pencil()
    book.tap("8:00", "put-aside", ANN, 1, reason="lumber", look_again_on=look)
    world = shop(stage(1))
    assert see(book, world, "8:10")[1].state == "put aside"
    assert replay(book.entries, world, at("8:10")).asides[1].look_again_on == look
