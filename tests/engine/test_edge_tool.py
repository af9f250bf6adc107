"""What each deed does to an edge; what can't be is taken as it is said, with a plain remark."""

from datetime import date

import pytest

from shoptrack.engine.edge_tool import RULES
from shoptrack.engine.shapes import DEEDS, DULL
from tests.engine.edges import A, B, Saw, hour


def lives(saw: Saw, edge: int = A) -> list[tuple[float, bool, str | None]]:
    return [(life.run_h, life.dull, life.ended) for life in saw.edge(edge).lives]


def test_there_is_a_rule_for_every_deed_but_a_reading() -> None:
    assert {*RULES, "meter"} == set(DEEDS)


def test_a_swap_makes_the_old_one_a_spare_with_its_hours() -> None:
    """A 0–2, B 2–5, A again from 5 to 6: its life went on meanwhile."""
    saw = Saw.fitted()
    saw.did(2, "fitted", B)
    saw.did(5, "fitted", A)
    saw.cut(0, 6)
    a, b = saw.edge(A), saw.edge(B)
    assert (a.where, a.run_h, a.since) == ("fitted", 3.0, hour(5))
    assert (b.where, b.run_h, b.since) == ("spare", 3.0, hour(5))
    assert lives(saw) == [(3.0, False, None)]
    assert a.lives[0].from_at == hour(0)


def test_fitted_twice_is_fitted_once() -> None:
    saw = Saw.fitted()
    saw.did(2, "fitted", A)
    assert (saw.edge(A).since, saw.rack().odd) == (hour(0), {})


def test_found_dull_is_a_life_and_sharpened_begins_another() -> None:
    """Dull after three hours; the half hour that it roughed on after that is in no life."""
    saw = Saw.fitted()
    saw.cut(0, 3)
    saw.did(3, "found dull")
    saw.cut(3, 3.5)
    assert (saw.edge(A).dull, saw.edge(A).run_h, saw.edge(A).usable) == (True, 3.5, False)
    saw.did(4, "sharpened")
    saw.cut(4, 5)
    assert lives(saw) == [(3.0, True, "found dull"), (1.0, False, None)]
    stands = saw.edge(A)
    assert (stands.dull, stands.run_h, stands.renewals, stands.where) == (False, 1.0, 1, "fitted")
    assert [(life.from_at, life.until_at) for life in stands.lives] == [(hour(0), hour(3)), (hour(4), None)]


@pytest.mark.parametrize("did", ["sharpened", "turned", "replaced"])
def test_what_is_done_early_cuts_a_life_short(did: str) -> None:
    saw = Saw.fitted()
    saw.cut(0, 3)
    saw.did(3, did)  # type: ignore[arg-type]
    assert lives(saw) == [(3.0, False, did), (0.0, False, None)]
    assert saw.edge(A).renewals == (0 if did == "replaced" else 1)


def test_a_new_one_counts_its_sharpenings_anew() -> None:
    saw = Saw.fitted()
    for h in (1, 2, 3):
        saw.did(h, "sharpened")
    assert saw.edge(A).renewals == 3
    saw.did(4, "replaced")
    saw.did(5, "turned")
    assert saw.edge(A).renewals == 1


def test_found_dull_and_only_dirty() -> None:
    """Cleaned, the dull is struck: the life goes on with all its hours, the half hour between too."""
    saw = Saw.fitted()
    saw.cut(0, 3)
    saw.did(3, "found dull")
    saw.cut(3, 3.5)
    saw.did(4, "cleaned")
    saw.cut(4, 6)
    assert lives(saw) == [(5.5, False, None)]
    assert saw.edge(A).lives[0].from_at == hour(0)
    assert saw.edge(A).usable


def test_cleaning_one_that_is_not_dull_changes_nothing() -> None:
    saw = Saw.fitted()
    saw.cut(0, 3)
    before = saw.edge(A)
    saw.did(3, "cleaned")
    assert saw.edge(A) == before
    assert saw.rack().odd == {}


def test_dull_for_show_cuts_and_still_roughing() -> None:
    """A life seen to its end; it may cut, until it is found dull for that too."""
    saw = Saw.fitted()
    saw.cut(0, 3)
    saw.did(3, "rough only")
    assert lives(saw) == [(3.0, True, "rough only")]
    assert (saw.edge(A).dull, saw.edge(A).rough_only, saw.edge(A).usable) == (True, True, True)
    saw.cut(3, 4)
    saw.did(4, "found dull")
    assert lives(saw) == [(3.0, True, "rough only")]
    assert (saw.edge(A).rough_only, saw.edge(A).usable) == (False, False)
    assert saw.rack().odd == {}
    assert {life.ended for life in saw.edge(A).lives} <= DULL


def test_sent_and_back() -> None:
    """Away with its day; back it is sharp and a spare. What ended its life is that it came back."""
    saw = Saw.fitted()
    saw.cut(0, 3)
    saw.did(3, "sent", back_on=date(2026, 3, 9))
    away = saw.edge(A)
    assert (away.where, away.back_on, away.usable, saw.stands().fitted) == (
        "away",
        date(2026, 3, 9),
        False,
        None,
    )
    saw.did(50, "back")
    back = saw.edge(A)
    assert (back.where, back.back_on, back.renewals, back.run_h) == ("spare", None, 1, 0.0)
    assert lives(saw) == [(3.0, False, "back"), (0.0, False, None)]


def test_back_without_a_name_is_the_one_that_is_longest_away() -> None:
    saw = Saw.fitted()
    saw.did(1, "sent")
    saw.did(2, "fitted", B)
    saw.did(3, "sent")
    saw.did(9, "back")
    assert (saw.edge(A).where, saw.edge(B).where) == ("spare", "away")


@pytest.mark.parametrize("did", ["broken", "worn out"])
def test_broken_or_worn_out_cuts_a_life_short_and_is_out(did: str) -> None:
    saw = Saw.fitted()
    saw.cut(0, 3)
    saw.did(3, did)  # type: ignore[arg-type]
    assert lives(saw) == [(3.0, False, did)]
    assert (saw.edge(A).where, saw.stands().fitted, saw.edge(A).usable) == (did, None, False)
    saw.did(4, "replaced")
    assert (saw.edge(A).where, saw.rack().odd) == ("fitted", {})
    saw.cut(4, 5)
    assert saw.edge(A).run_h == 1.0


def test_one_that_broke_and_was_mended_while_another_is_on_is_a_spare() -> None:
    saw = Saw.fitted()
    saw.did(3, "broken")
    saw.did(3, "fitted", B)
    saw.did(9, "sharpened", A)
    assert (saw.edge(A).where, saw.edge(B).where) == ("spare", "fitted")


def test_taken_off_leaves_none_on() -> None:
    saw = Saw.fitted()
    saw.did(3, "taken off")
    assert (saw.stands().fitted, saw.edge(A).where) == (None, "spare")
