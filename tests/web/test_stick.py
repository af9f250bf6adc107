"""Story sticks: lengths by minutes, branches that end where they are spliced on."""

from hypothesis import given
from hypothesis import strategies as st

from shoptrack.web.stick import Cut, Splice, story_stick


def test_a_plain_job_is_one_stick() -> None:
    stick = story_stick([Cut(1, 60), Cut(2, 60, (1,)), Cut(3, 240, (2,))])
    assert stick.lanes == 1
    assert stick.splices == ()
    assert [(s.x, s.to_x) for s in stick.segments] == [(0, 25), (25, 50), (50, 100)]


def test_a_branch_is_spliced_on_where_it_is_needed() -> None:
    """Frame 1–2, panel 3, put together in 4: the panel's stick ends at 4's start."""
    stick = story_stick([Cut(1, 60), Cut(2, 60, (1,)), Cut(3, 60), Cut(4, 60, (2, 3))])
    assert stick.lanes == 2
    assert stick.splices == (Splice(stick.of(4).x, 1, 0),)
    assert stick.of(3).lane == 1
    assert stick.of(3).to_x == stick.of(4).x


def test_an_empty_job_has_an_empty_stick() -> None:
    assert story_stick([]).lanes == 0


@given(
    st.lists(st.tuples(st.floats(0, 900), st.sets(st.integers(0, 11), max_size=3)), min_size=1, max_size=12)
)
def test_no_two_segments_lie_on_each_other(stages: list[tuple[float, set[int]]]) -> None:
    cuts = [Cut(n, m, tuple(sorted(x for x in needs if x < n))) for n, (m, needs) in enumerate(stages)]
    stick = story_stick(cuts)
    assert sorted(s.stage for s in stick.segments) == list(range(len(cuts)))
    for a in stick.segments:
        assert -0.05 <= a.x < a.to_x <= 100.05
        for b in stick.segments:
            if a.stage < b.stage and a.lane == b.lane:
                assert a.to_x <= b.x + 0.05 or b.to_x <= a.x + 0.05
    for cut in cuts:
        for need in cut.needs:
            assert stick.of(need).to_x <= stick.of(cut.stage).x + 0.05


def test_a_rest_of_days_squeezes_nothing() -> None:
    """An hour, a week of rest, an hour: a third each; the hours keep what they have without the rest."""
    week = 7 * 24 * 60
    stick = story_stick([Cut(1, 60), Cut(2, week, (1,), rest=True), Cut(3, 60, (2,))])
    assert [s.width for s in stick.segments] == [33.33, 33.34, 33.33]
    longer = story_stick([Cut(1, 60), Cut(2, 4 * week, (1,), rest=True), Cut(3, 60, (2,))])
    assert longer == stick
