"""Hours, chances and what a life rests on, in words."""

from dataclasses import replace

import pytest

from shoptrack.engine.edge_life import Life, learn
from shoptrack.engine.shapes import Edge, EdgeKind, EdgeStands
from shoptrack.flows.tooling.due import DueOf
from shoptrack.web.tools_words import (
    chance_words,
    cut_hours,
    ended_words,
    is_likely_dull,
    rests_words,
    run_words,
)

FIT = learn([Life(12.0, True)], 20.0)
KIND = EdgeKind(1, "knives", 20.0)


def due(run_h: float = 3.0, effective_h: float = 3.0, **more: object) -> DueOf:
    stands = EdgeStands(Edge(1, 1, "A"), "fitted", None, run_h, effective_h)
    made = DueOf(1, "planer", KIND, stands, 0.1, None, FIT.life_h(), 20.0, 0, 0)
    return replace(made, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("hours", "said"),
    [
        (0, "0 h"),
        (0.5, "30 min"),
        (1, "1 h"),
        (9.24, "9.2 h"),
        (9.96, "10 h"),
        (13.6, "14 h"),
        (240, "240 h"),
    ],
)
def test_hours_of_cutting(hours: float, said: str) -> None:
    assert cut_hours(hours).replace("\N{NO-BREAK SPACE}", " ") == said


@pytest.mark.parametrize(
    ("chance", "said"),
    [
        (0, "under 1 %"),
        (0.009, "under 1 %"),
        (0.01, "1 %"),
        (0.342, "34 %"),
        (0.99, "99 %"),
        (1, "over 99 %"),
    ],
)
def test_a_chance_is_never_none_or_all(chance: float, said: str) -> None:
    assert chance_words(chance).replace("\N{NO-BREAK SPACE}", " ") == said


def test_harder_wood_is_said_where_it_makes_a_difference() -> None:
    assert run_words(due(0.0, 0.0)) == "not run yet"
    assert run_words(due()).replace("\N{NO-BREAK SPACE}", " ") == "run 3 h"
    said = run_words(due(3.0, 4.5)).replace("\N{NO-BREAK SPACE}", " ")
    assert said == "run 3 h, on its edge like 4.5 h of the usual wood"


def test_what_a_life_rests_on() -> None:
    plain = rests_words(due()).replace("\N{NO-BREAK SPACE}", " ")
    assert plain == "rests on the usual 20 h: nothing was found dull yet"
    starting = rests_words(due(kind=replace(KIND, starting=True))).replace("\N{NO-BREAK SPACE}", " ")
    assert starting == "rests on the usual 20 h, a starting value: nothing was found dull yet"
    seen = rests_words(due(dull_lives=3, cut_short=2)).replace("\N{NO-BREAK SPACE}", " ")
    assert seen == "learned from 3 found dull, 2 not seen to the end; usual 20 h"
    assert rests_words(due(cut_short=1)).startswith("learned from none found dull yet, 1 not seen")


@pytest.mark.parametrize(
    ("did", "dull", "said"),
    [
        (None, False, "still going on"),
        ("found dull", True, "found dull"),
        ("rough only", True, "dull for show cuts"),
        ("sharpened", False, "sharpened before it was dull"),
        ("broken", False, "broken"),
    ],
)
def test_how_a_life_ended(did: str | None, dull: bool, said: str) -> None:
    assert ended_words(did, dull) == said


def test_likely_dull_is_told_from_one_in_five_on() -> None:
    """What was found dull is no longer only likely so."""
    found = due(chance_dull=1.0, stands=EdgeStands(Edge(1, 1, "A"), "fitted", None, 3.0, 3.0, dull=True))
    assert [is_likely_dull(due(chance_dull=c)) for c in (0.19, 0.2)] == [False, True]
    assert not is_likely_dull(found)
