"""Where edges are and what they ran: hours that follow the log, whole and split, and tools with no edge."""

import random
from datetime import date, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.engine.edge_book import away, rack
from shoptrack.engine.replay import replay
from shoptrack.engine.shapes import DEEDS, FAR, Cut, Deed, Edge
from shoptrack.engine.worked import stretches
from tests.engine.edges import BIT, DAY, EDGES, SAW, A, B, C, Saw, hour
from tests.engine.shop import ANN, BEN, CALENDAR, Pencil, at, shop, stage


def test_a_swap_in_the_middle_of_a_cut_splits_it() -> None:
    """Four hours at half share, two thirds worn: B from three quarters on."""
    saw = Saw.fitted()
    saw.cut(0, 4, run_h=2, wear=1.5)
    saw.did(3, "fitted", B)
    assert (saw.edge(A).run_h, saw.edge(A).effective_h) == (1.5, 2.25)
    assert (saw.edge(B).run_h, saw.edge(B).effective_h) == (0.5, 0.75)


def test_a_cut_over_several_deeds_goes_to_each_in_turn() -> None:
    saw = Saw.fitted()
    saw.cut(0, 10)
    saw.did(2, "fitted", B)
    saw.did(5, "fitted", A)
    saw.did(5, "sharpened")
    saw.did(9, "taken off")
    assert [(life.run_h) for life in saw.edge(A).lives] == [2.0, 4.0]
    assert saw.edge(B).run_h == 3.0


def test_what_happens_later_than_now_is_not_heard_of() -> None:
    saw = Saw.fitted()
    saw.did(5, "found dull")
    assert not saw.edge(A, now=4).dull
    assert saw.edge(A, now=5).dull


def test_a_moment_without_length_is_one_edge_s() -> None:
    """Minutes that were said and lie in no time count at that instant."""
    saw = Saw.fitted()
    saw.cut(1, 1, run_h=0.5)
    assert saw.edge(A).run_h == 0.5


def test_edges_of_one_tool_do_not_hear_of_another() -> None:
    saw = Saw.fitted()
    saw.did(0, "fitted", C, tool=BIT)
    saw.cut(0, 2)
    book = saw.rack()
    assert book.tools[BIT].edges[0].run_h == 0.0
    assert book.tools[BIT].fitted is not None
    assert book.tools[SAW].fitted is not None


def test_a_retired_edge_keeps_what_it_cut() -> None:
    """B is no longer kept: its lives stand apart, and what it cut is not A's."""
    saw = Saw.fitted()
    saw.cut(0, 4)
    saw.did(1, "fitted", B)
    saw.did(3, "fitted", A)
    kept = {id: edge for id, edge in EDGES.items() if id != B}
    (stands,) = (rack((SAW,), kept, saw.deeds, saw.cuts, hour(9)).tools[number] for number in (SAW,))
    assert [one.edge.id for one in stands.edges] == [A]
    assert [(one.edge.id, one.run_h) for one in stands.past] == [(B, 2.0)]
    assert stands.edges[0].run_h == 2.0
    assert sum(life.run_h for life in stands.lives) == 4.0


def test_a_meter_scales_the_lives() -> None:
    """Two hours logged, three on the meter, then one more logged: three and one and a half."""
    saw = Saw.fitted()
    saw.did(0, "meter", minutes=600)
    saw.cut(0, 2)
    saw.did(4, "meter", minutes=780)
    saw.cut(4, 5)
    assert saw.edge(A).run_h == pytest.approx(4.5)
    assert saw.stands().meter_scale == 1.5


def test_nothing_known_of_a_tool() -> None:
    book = rack((SAW, 7), {}, (), (), DAY)
    assert (book.tools[7].fitted, book.tools[7].edges, book.odd) == (None, (), {})


def test_corrected_taps_move_the_hours() -> None:
    """Milled 9–11 with a swap at 10; the start was 9:30 after all, then the swap was 10:30, then none."""
    book = Pencil()
    book.tap("8:00", "edge", ANN, tool=SAW, edge=A, choice="fitted")
    start = book.tap("9:00", "start", ANN, 1)
    swap = book.tap("10:00", "edge", BEN, tool=SAW, edge=B, choice="fitted")
    end = book.tap("11:00", "finish", ANN, 1)

    def hours() -> tuple[float, float]:
        state = replay(book.entries, shop(stage(1, tools=(SAW,))), at("16:00"))
        ran = stretches(state.passes[1][0], CALENDAR)
        cuts = [Cut(SAW, 1, one.start, one.end, one.minutes) for one in ran]
        stands = {e.edge.id: e for e in rack((SAW,), EDGES, state.deeds, cuts, at("16:00")).tools[SAW].edges}
        return stands[A].run_h, stands[B].run_h

    assert hours() == (1.0, 1.0)
    book.tap("11:05", "retime", ANN, of=start, to_at=at("9:30"))
    assert hours() == (0.5, 1.0)
    book.tap("11:06", "retime", ANN, of=swap, to_at=at("10:30"))
    assert hours() == (1.0, 0.5)
    book.tap("11:07", "strike", ANN, of=swap)
    assert hours() == (1.5, 0.0)
    book.tap("11:08", "strike", ANN, of=end)
    assert hours() == (0.0, 0.0)


def opens(on: date) -> datetime:
    return datetime.combine(on, time(8), DAY.tzinfo)


def gone(saw: Saw, now: float) -> dict[int, tuple[tuple[datetime, datetime], ...]]:
    return dict(away({A: EDGES[A], B: EDGES[B]}, saw.deeds, hour(now), opens))


def test_a_tool_is_away_when_its_last_edge_is() -> None:
    """A is sent on Monday until Thursday; B takes its place, and is found dull at noon."""
    saw = Saw.fitted()
    saw.did(1, "sent", back_on=date(2026, 3, 5))
    assert gone(saw, 2) == {}
    saw.did(2, "fitted", B)
    saw.did(4, "found dull")
    assert gone(saw, 5) == {SAW: ((hour(5), opens(date(2026, 3, 5))),)}


def test_the_first_that_comes_back_ends_it() -> None:
    saw = Saw.fitted()
    saw.did(1, "sent", back_on=date(2026, 3, 9))
    saw.did(2, "sent", B, back_on=date(2026, 3, 5))
    assert gone(saw, 3)[SAW][0][1] == opens(date(2026, 3, 5))


@pytest.mark.parametrize("late_days", [0, 1, 30, 5000])
def test_one_that_should_have_been_back_is_expected_at_the_next_opening(late_days: int) -> None:
    """Due on Monday at eight; it is Monday noon or later, and nobody said that it came."""
    saw = Saw.fitted()
    saw.did(1, "sent", back_on=DAY.date())
    saw.did(1, "broken", B)
    now = 4 + 24.0 * late_days
    assert gone(saw, now)[SAW][0] == (hour(now), hour(24 + 24.0 * late_days))


@pytest.mark.parametrize("did", ["found dull", "broken", "worn out", "sent"])
def test_with_no_day_said_nobody_knows_until_when(did: str) -> None:
    saw = Saw.fitted()
    saw.did(1, "worn out", B)
    saw.did(1, did, A)  # type: ignore[arg-type]
    assert gone(saw, 2)[SAW][0][1] == FAR


def test_one_that_still_roughs_is_an_edge() -> None:
    saw = Saw.fitted()
    saw.did(1, "worn out", B)
    saw.did(1, "rough only")
    assert gone(saw, 2) == {}


def test_a_tool_without_edges_is_never_away() -> None:
    deeds = [Deed("e1", DAY, "found dull", 9)]
    assert away({}, deeds, hour(1), opens) == {}
    assert away(EDGES, deeds, hour(1), opens) == {}


DEED = st.tuples(
    st.floats(0, 60), st.sampled_from(DEEDS), st.sampled_from((None, A, B, C)), st.sampled_from((SAW, BIT))
)
CUT = st.tuples(st.floats(0, 60), st.floats(0, 9), st.floats(0, 9), st.sampled_from((0.5, 1.0, 2.5)))


def filled(deeds: list[tuple[float, str, int | None, int]], cuts: list[tuple[float, ...]]) -> Saw:
    saw = Saw()
    for h, did, edge, tool in deeds:
        named = edge if edge is not None and EDGES[edge].tool == tool else None
        minutes = 60 * h * 0.7 if did == "meter" else None
        back = (DAY + timedelta(hours=h, days=3)).date() if did == "sent" else None
        saw.did(h, did, named, tool=tool, minutes=minutes, back_on=back)  # type: ignore[arg-type]
    for start, length, run_h, wear in cuts:
        saw.cut(start, start + length, run_h=run_h, wear=wear)
    return saw


@given(st.lists(DEED, max_size=20), st.lists(CUT, max_size=12), st.integers(0, 2**32))
def test_the_order_in_which_things_are_told_is_nothing(
    deeds: list[tuple[float, str, int | None, int]], cuts: list[tuple[float, ...]], seed: int
) -> None:
    """Cuts in any order, deeds of different instants in any order: the same rack."""
    unique = list({hour(h): (h, *more) for h, *more in deeds}.values())
    saw = filled(unique, cuts)  # type: ignore[arg-type]
    before = saw.rack()
    rng = random.Random(seed)
    rng.shuffle(saw.deeds)
    assert saw.rack() == before
    rng.shuffle(saw.cuts)
    after = saw.rack()
    for number, stands in before.tools.items():
        for one, other in zip(stands.edges, after.tools[number].edges, strict=True):
            assert one.run_h == pytest.approx(other.run_h)
            assert (one.where, one.dull, one.renewals) == (other.where, other.dull, other.renewals)


SWAPS = st.lists(
    st.tuples(
        st.floats(0, 60), st.sampled_from(("fitted", "sharpened", "turned", "replaced")), st.booleans()
    ),
    max_size=15,
)


@given(SWAPS, st.lists(CUT, max_size=12))
def test_hours_of_the_edges_of_a_tool_sum_to_its_cuts(
    swaps: list[tuple[float, str, bool]], cuts: list[tuple[float, ...]]
) -> None:
    """One blade or the other is always on: nothing is lost, and nothing counted twice."""
    saw = Saw.fitted()
    for h, did, first in swaps:
        saw.did(h, did, A if first else B)  # type: ignore[arg-type]
    for start, length, run_h, wear in cuts:
        saw.cut(start, start + length, run_h=run_h, wear=wear)
    lives = saw.stands().lives
    assert sum(life.run_h for life in lives) == pytest.approx(sum(c.run_min for c in saw.cuts) / 60)
    assert sum(life.effective_h for life in lives) == pytest.approx(sum(c.effective_h for c in saw.cuts))
    assert all(life.run_h >= 0 for life in lives)


@given(st.lists(DEED, max_size=25), st.lists(CUT, max_size=8))
def test_whatever_is_said_gives_a_rack(
    deeds: list[tuple[float, str, int | None, int]], cuts: list[tuple[float, ...]]
) -> None:
    """Nonsense raises nothing: one edge at most is on a tool, lives follow each other."""
    saw = filled(deeds, cuts)
    book = saw.rack()
    for stands in book.tools.values():
        on = [one for one in (*stands.edges, *stands.past) if one.where == "fitted"]
        assert [one for one in (stands.fitted,) if one is not None] == on
        for one in (*stands.edges, *stands.past):
            ended = [life.until_at for life in one.lives]
            assert ended == sorted(ended, key=lambda at: at or FAR)
            assert [life.ended is None for life in one.lives].count(True) <= 1
            assert all(life.dull == (life.ended in ("found dull", "rough only")) for life in one.lives)
            assert (one.back_on is None) or one.where == "away"
    assert book.odd.keys() <= {deed.entry for deed in saw.deeds}
    assert all(words and not words[0].isupper() for words in book.odd.values())
    spans = gone(saw, 100)
    assert all(start < until for many in spans.values() for start, until in many)


def test_edges_of_this_book_have_their_names() -> None:
    saw = Saw.fitted()
    assert [one.edge for one in saw.stands().edges] == [Edge(A, SAW, "A"), Edge(B, SAW, "B")]
