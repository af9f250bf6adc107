"""What is next for each person on the busy Wednesday, 13:24, and the sentences that say why."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from shoptrack.engine import nextup
from shoptrack.engine.shapes.planned import Plan, Problem
from shoptrack.flows.planning.last_said import Cost
from shoptrack.flows.planning.next_up import (
    Blocked,
    NextUp,
    Why,
    blocked_words,
    next_up,
    sentence,
    words,
)
from shoptrack.flows.planning.plan import plan_now
from shoptrack.flows.shopfloor import gather
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery, at

MORNING = datetime(2026, 11, 26, 13, 0, tzinfo=UTC)


def when(moment: datetime) -> str:
    return f"{moment:%H:%M}"


def up(joinery: Joinery, later_min: float = 0) -> NextUp:
    sight = gather(joinery.store, NOW + timedelta(minutes=later_min))
    return next_up(sight, plan_now(joinery.store, sight))


def why(**said: object) -> Why:
    plain = Why("K7", "", MORNING, True, (), False, None)
    return replace(plain, **said)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({}, "blocks nothing: free choice"),
        ({"spare_days": 2}, "keeps K7’s date with 2 days to spare"),
        ({"spare_days": 1}, "keeps K7’s date with a day to spare"),
        ({"spare_days": 0}, "keeps K7’s date to the day"),
        (
            {"cures": "cures", "costs": (Cost("B3", 1, 1440, True),), "spare_days": 4},
            "it cures overnight; left until tomorrow morning it costs B3 a day",
        ),
        (
            {"costs": (Cost("B3", 2, 2880, True), Cost("M2", 0, 95, True), Cost("T4", 1, 1440, True))},
            "left until tomorrow morning it costs B3 2 days and M2 1 h 35",
        ),
        ({"costs": (Cost("K7", 1, 1440, False),)}, "left until tomorrow morning it costs K7 a day"),
        ({"costs": (Cost("K7", 1, 1440, False),), "tomorrow": False}, "left until 13:00 it costs K7 a day"),
        (
            {"cures": "dries", "missed": True, "costs": (Cost("K7", 1, 1440, True),)},
            "it dries overnight; left until tomorrow morning it is too late for a wait that must be kept",
        ),
        ({"spare_days": -2}, "blocks nothing: free choice"),
    ],
)
def test_a_reason_is_one_plain_sentence(said: dict[str, object], words: str) -> None:
    assert sentence(why(**said), when) == words


@pytest.mark.parametrize(
    ("found", "said"),
    [
        (Blocked("resource", "router", MORNING), "router free 13:00"),
        (Blocked("resource", "600 mm", None), "600 mm free then"),
        (Blocked("cure", "glue-up", MORNING), "glue-up cures until 13:00"),
        (Blocked("after", "milling", MORNING), "after milling, 13:00"),
        (Blocked("after", "milling", None), "after milling"),
        (Blocked("person", "Una", MORNING), "Una is free 13:00"),
        (Blocked("person", "", MORNING), "somebody is free 13:00"),
        (Blocked("day", "", MORNING), "not before 13:00"),
        (Blocked("day", "", None), "not before that day"),
    ],
)
def test_what_is_waited_for_is_said_by_its_name(found: Blocked, said: str) -> None:
    assert blocked_words(found, when) == words(found, when) == said


def test_each_has_another_stage_and_a_reason(joinery: Joinery, day: BusyDay) -> None:
    """The hall door's panel can still be glued today; put off till morning it would miss the day's cure."""
    found = up(joinery)
    first, second = found.next_for(UNA), found.next_for(PIET)
    assert first is not None
    assert second is not None
    assert first != second
    assert first == day.hall["panel glue-up"]
    reason = found.because(UNA, first)
    assert isinstance(reason, Why)
    assert words(reason, when).startswith("it cures overnight; ")
    slot = found.slot(first)
    assert slot is not None
    assert (slot.names, slot.starts_at) == (("Una",), at("14:00"))


def test_what_waits_is_said_with_what_for(joinery: Joinery, day: BusyDay) -> None:
    """The letter tray is glued up when its milling is done; the game tray carved when its glue has cured."""
    found = up(joinery)
    glue_up, carving = found.slot(day.letter["glue-up"]), found.slot(day.game["carving the well"])
    assert glue_up is not None
    assert carving is not None
    assert glue_up.held is not None
    assert (glue_up.held.why, glue_up.held.name) == ("after", "milling")
    assert carving.held is not None
    assert (carving.held.why, carving.held.name) == ("cure", "glue-up")
    assert found.because(PIET, day.game["carving the well"]) == carving.held


def test_ones_own_comes_first_then_what_the_plan_has_soonest(joinery: Joinery, day: BusyDay) -> None:
    found = up(joinery)
    ready = [day.hall["panel glue-up"], day.larder["frame"], day.letter["milling"], day.game["glue-up"]]
    una = sorted(ready, key=lambda stage: found.rank(UNA, stage))
    piet = sorted(ready, key=lambda stage: found.rank(PIET, stage))
    assert una[0] == found.next_for(UNA)
    assert piet[0] == found.next_for(PIET)
    assert una[-1] == piet[0]
    assert piet[-1] == una[0]
    assert found.rank(UNA, 999) > found.rank(UNA, una[-1])
    assert found.start(999) > found.start(una[-1])


def test_what_is_in_hand_is_nobodys_next(joinery: Joinery, day: BusyDay) -> None:
    """Two coats of oil are still to come on what Piet has in hand: no reason to say it again."""
    found = up(joinery)
    in_hand = {day.hall["frame"], day.letter["oiling"]}
    assert not {found.next_for(UNA), found.next_for(PIET)} & in_hand


def test_a_reason_costs_one_decode_and_is_kept(
    joinery: Joinery, day: BusyDay, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The Floor of two people costs two; a second look in the same minute, and the Bench, none."""
    counted: list[int] = []

    def counting(problem: Problem, *more: object) -> Plan:
        counted.append(1)
        return build(problem, *more)  # type: ignore[arg-type]

    build = nextup.build
    monkeypatch.setattr(nextup, "build", counting)
    for _ in range(2):
        found = up(joinery)
        for person in (UNA, PIET):
            stage = found.next_for(person)
            assert stage is not None
            found.because(person, stage)
    assert len(counted) == 2


def test_two_people_at_one_thing_only_where_it_takes_both(joinery: Joinery) -> None:
    """Twenty inlays in rounds by the clamps there are: the rounds are one stage, and one person's next."""
    tray = joinery.add("tray", "tray", date(2026, 12, 1), 20)
    for stage in ("milling", "glue-up", "carving the well"):
        joinery.tap("finish", at("9:00"), tray[stage])
    found = up(joinery)
    given = [found.next_for(person) for person in (UNA, PIET)]
    assert len(set(given)) == 2


def test_without_a_plan_nothing_is_known(joinery: Joinery) -> None:
    found = up(joinery)
    assert not found.knows
    assert found.next_for(UNA) is None
    assert found.why(UNA, 1) is None
    assert found.because(UNA, 1) is None
