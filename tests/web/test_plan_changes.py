"""Changes in an address and back, and the words that say them; what can't be read is refused."""

from datetime import date, time

import pytest

from shoptrack.engine.shapes import Calendar, Job, Overtime, Person, Pool, Rule, Stage, World
from shoptrack.errors import BadInput
from shoptrack.flows.planning.changes import (
    Change,
    DayOff,
    ExtraPerson,
    JobFirst,
    MoreClamps,
    PinStage,
    PutAside,
)
from shoptrack.web.plan_changes import read, words, written
from tests.joinery import LONG_AGO

THURSDAY, FRIDAY = date(2026, 12, 3), date(2026, 12, 4)
SAID: list[tuple[Change, str, str]] = [
    (DayOff(1, THURSDAY), "off.1.2026-12-03", "Una has 2026-12-03 off"),
    (DayOff(None, THURSDAY), "off.all.2026-12-03", "all have 2026-12-03 off"),
    (
        Overtime(1, THURSDAY, time(17), time(18, 30)),
        "more.1.2026-12-03.1700.1830",
        "Una works 2026-12-03 from 17:00:00 to 18:30:00 too",
    ),
    (ExtraPerson(THURSDAY, THURSDAY), "one.2026-12-03.2026-12-03", "somebody more is here, 2026-12-03"),
    (
        ExtraPerson(THURSDAY, FRIDAY),
        "one.2026-12-03.2026-12-04",
        "somebody more is here, 2026-12-03 to 2026-12-04",
    ),
    (MoreClamps(3, 4), "clamps.3.4", "4 more 600 mm clamps"),
    (MoreClamps(3, 1), "clamps.3.1", "1 more 600 mm clamp"),
    (JobFirst(7), "first.7", "K7 comes first, its date must be kept"),
    (PinStage(11, THURSDAY), "pin.11.2026-12-03.all", "K7 carving is begun 2026-12-03"),
    (PinStage(11, THURSDAY, 1), "pin.11.2026-12-03.1", "K7 carving is begun 2026-12-03 by Una"),
]


@pytest.fixture
def world() -> World:
    rule = ((LONG_AGO, Rule(0, 1)),)
    return World(
        Calendar("UTC", ()),
        {1: Person(1, "Una")},
        {7: Job(7, "K7", "box", "", 1, None)},
        {11: Stage(11, 7, 1, "carving", "carving", "pieces", 1, rule)},
        pools={3: Pool(3, "600 mm", 600, ())},
    )


@pytest.mark.parametrize(("change", "text", "said"), SAID)
def test_there_and_back_and_in_words(change: Change, text: str, said: str, world: World) -> None:
    assert written(change) == text
    assert read(text) == change
    assert words(change, world, str, str) == said


@pytest.mark.parametrize(
    "text",
    [
        "",
        "off",
        "off.1",
        "off.x.2026-12-03",
        "off.1.2026-02-30",
        "off.1.1500-01-01",
        "more.1.2026-12-03.2500.2600",
        "more.1.2026-12-03.17:00.18:00",
        "clamps.3.-4",
        "clamps.0.4",
        "first.99999999999",
        "pin.11.soon.all",
        "first.7.7",
        "aside.7",
        "off.\u00b2.",
    ],
)
def test_what_is_none_is_refused_in_one_sentence(text: str) -> None:
    with pytest.raises(BadInput, match="can’t be read"):
        read(text)


def test_what_is_not_asked_on_the_page_has_no_letters(world: World) -> None:
    with pytest.raises(ValueError, match="not asked"):
        written(PutAside(7))
    with pytest.raises(ValueError, match="not asked"):
        words(PutAside(7), world, str, str)
