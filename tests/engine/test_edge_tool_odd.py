"""What can't be so of an edge: taken as it is said, with a plain remark beside the entry."""

from datetime import date

import pytest

from shoptrack.engine.edge_book import rack
from shoptrack.engine.shapes import Deed
from tests.engine.edges import A, B, Saw, hour
from tests.engine.test_edge_tool import lives


def odd(saw: Saw) -> list[str]:
    return [saw.rack().odd[deed.entry] for deed in saw.deeds if deed.entry in saw.rack().odd]


def test_an_edge_that_is_fitted_while_it_is_away() -> None:
    """It is on the tool, since somebody says so; whether it was sharpened nobody said, so its hours go on."""
    saw = Saw.fitted()
    saw.cut(0, 3)
    saw.did(3, "sent")
    saw.did(9, "fitted", A)
    assert (saw.edge(A).where, saw.edge(A).run_h) == ("fitted", 3.0)
    assert odd(saw) == ["it was away then, and nobody said that it came back"]


@pytest.mark.parametrize(
    ("did", "remark"),
    [("broken", "it was broken then"), ("worn out", "it was worn out then")],
)
def test_one_that_is_out_is_fitted(did: str, remark: str) -> None:
    saw = Saw.fitted()
    saw.did(3, did)  # type: ignore[arg-type]
    saw.did(4, "fitted", A)
    assert (saw.edge(A).where, odd(saw)) == ("fitted", [remark])


def test_a_dull_one_is_fitted() -> None:
    saw = Saw.fitted()
    saw.did(2, "found dull")
    saw.did(3, "fitted", B)
    saw.did(4, "fitted", A)
    assert saw.edge(A).dull
    assert odd(saw) == ["it was found dull, and nobody said that it was made sharp since"]


def test_found_dull_twice_is_one_life() -> None:
    saw = Saw.fitted()
    saw.cut(0, 2)
    saw.did(2, "found dull")
    saw.did(3, "found dull")
    assert lives(saw) == [(2.0, True, "found dull")]
    assert odd(saw) == ["it was found dull before"]


def test_found_dull_while_it_is_away() -> None:
    """The sharpener rang: a life seen to its end all the same."""
    saw = Saw.fitted()
    saw.cut(0, 2)
    saw.did(2, "sent")
    saw.did(3, "found dull", A)
    assert lives(saw) == [(2.0, True, "found dull")]
    assert odd(saw) == ["it was away then"]


def test_back_without_sent_is_sharp_and_stays_where_it_was() -> None:
    saw = Saw.fitted()
    saw.cut(0, 2)
    saw.did(3, "back")
    saw.did(4, "back", B)
    assert (saw.edge(A).where, saw.edge(A).run_h, saw.edge(A).renewals) == ("fitted", 0.0, 1)
    assert (saw.edge(B).where, saw.edge(B).renewals) == ("spare", 1)
    assert odd(saw) == ["nobody had said that it was sent"] * 2


def test_sent_twice_keeps_the_later_day() -> None:
    saw = Saw.fitted()
    saw.did(1, "sent", back_on=date(2026, 3, 9))
    saw.did(2, "sent", A, back_on=date(2026, 3, 12))
    saw.did(3, "sent", A)
    assert saw.edge(A).back_on == date(2026, 3, 12)
    assert odd(saw) == ["it was away already"] * 2


def test_sharpened_here_while_it_is_away() -> None:
    saw = Saw.fitted()
    saw.did(1, "sent")
    saw.did(2, "sharpened", A)
    assert (saw.edge(A).where, odd(saw)) == ("spare", ["it was away then: taken as back"])


def test_a_worn_out_one_is_sharpened_again() -> None:
    saw = Saw.fitted()
    saw.did(1, "worn out")
    saw.did(2, "sharpened")
    assert (saw.edge(A).where, odd(saw)) == ("fitted", ["it was worn out then"])


def test_one_that_is_not_on_the_tool_is_taken_off() -> None:
    saw = Saw.fitted()
    saw.did(1, "taken off", B)
    assert saw.edge(A).where == "fitted"
    assert odd(saw) == ["it was not on the tool then"]


def test_nothing_was_on_the_tool() -> None:
    saw = Saw()
    saw.did(1, "found dull")
    assert odd(saw) == ["no edge was on the tool then"]
    assert lives(saw) == [(0.0, False, None)]


def test_of_a_tool_with_one_edge_that_one_is_meant() -> None:
    """The bit has a single edge, which nobody ever said to be on it."""
    saw = Saw()
    saw.did(1, "found dull", tool=2)
    assert saw.rack().tools[2].edges[0].dull
    assert saw.rack().odd == {}


def test_a_tool_with_no_edge_at_all() -> None:
    deed = Deed("e1", hour(1), "found dull", 9)
    assert rack((9,), {}, (deed,), (), hour(2)).odd == {"e1": "this tool has no edge written down"}


def test_cutting_with_no_edge_on_is_remarked_where_it_was_taken_off() -> None:
    """Sent at one; the saw cut from two to three, and at four another blade was said to be on it."""
    saw = Saw.fitted()
    saw.did(1, "sent")
    saw.cut(2, 3)
    saw.did(4, "fitted", B)
    assert odd(saw) == ["the tool cut for 60 min after that, with no edge said to be on it"]
    assert (saw.edge(A).run_h, saw.edge(B).run_h) == (0.0, 0.0)


def test_what_was_cut_before_the_first_was_fitted_is_nobodys() -> None:
    saw = Saw()
    saw.cut(0, 3)
    saw.did(2, "fitted", A)
    assert saw.edge(A).run_h == 1.0
    assert saw.rack().odd == {}


def test_two_remarks_stand_side_by_side() -> None:
    """A dull life on a worn-out blade, taken off by it: what it says of the edge and of the tool."""
    saw = Saw.fitted()
    saw.did(1, "sent")
    saw.did(2, "fitted", A)
    saw.did(3, "sent")
    saw.cut(4, 5)
    assert len(odd(saw)) == 2
