"""Two revisions side by side: added, taken out, changed field by field, put elsewhere."""

from hypothesis import given
from hypothesis import strategies as st

from shoptrack.flows.pattern_changes import Change, Changed, Told, differences

MILL = Told(1, "mill", (("kind", "milling"), ("measure", "2 boards for each piece")))
GLUE = Told(2, "glue up", (("kind", "glue-up"), ("clamps", "4 × 24s")))
SAND = Told(3, "sand", (("kind", "sanding"),))


def test_the_same_says_nothing() -> None:
    assert differences([MILL, GLUE], [MILL, GLUE]).none
    assert differences([], []).none


def test_each_change_is_told_with_what_it_was() -> None:
    """More clamps, a caution, another name; milling taken out, sanding added."""
    new = Told(2, "glue the panel", (("kind", "glue-up"), ("clamps", "6 × 24s"), ("caution", "gloves")))
    found = differences([MILL, GLUE], [new, SAND])
    assert (found.added, found.taken_out, found.moved) == (("sand",), ("mill",), ())
    changes = (
        Change("name", "glue up", "glue the panel"),
        Change("clamps", "4 × 24s", "6 × 24s"),
        Change("caution", "", "gloves"),
    )
    assert found.changed == (Changed("glue the panel", changes),)


def test_what_is_no_longer_said_is_told_too() -> None:
    (changed,) = differences([GLUE], [Told(2, "glue up", (("kind", "glue-up"),))]).changed
    assert changed.changes == (Change("clamps", "4 × 24s", ""),)


def test_only_what_was_put_elsewhere_is_said_to_be() -> None:
    assert differences([MILL, GLUE, SAND], [SAND, MILL, GLUE]).moved == ("sand",)


@given(st.permutations(range(7)))
def test_without_what_moved_the_order_is_as_it_was(order: list[int]) -> None:
    before = [Told(n, f"s{n}", ()) for n in range(7)]
    moved = set(differences(before, [before[n] for n in order]).moved)
    left = [n for n in order if f"s{n}" not in moved]
    assert left == sorted(left)
    assert bool(moved) == (order != sorted(order))
