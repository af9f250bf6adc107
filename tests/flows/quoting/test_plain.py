"""A quote that is kept shows the same for ever: what is written as JSON reads back equal, to the last bit."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Any, Literal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shoptrack.engine.quote import judge, price
from shoptrack.engine.shapes.learned import Prediction
from shoptrack.engine.shapes.quoted import Asked, Bought, Range, StageAsked, StageWorked, Worked
from shoptrack.flows.quoting.plain import from_plain, to_plain
from shoptrack.flows.quoting.wanted import TermsSaid, Wanted, WantedLine, WantedOption

FLOATS = st.floats(allow_nan=False, allow_infinity=False)
WORDS = st.text(max_size=30)
COUNTS = st.integers(0, 10**15)
PREDICTIONS = st.builds(Prediction, FLOATS, FLOATS, FLOATS, COUNTS, COUNTS, COUNTS)
STAGES = st.builds(
    StageAsked, WORDS, st.none() | PREDICTIONS, st.none() | PREDICTIONS, COUNTS, COUNTS, FLOATS, FLOATS
)
LINES = st.builds(Bought, WORDS, WORDS, FLOATS, COUNTS, COUNTS)
ASKED = st.builds(
    Asked,
    st.lists(STAGES, max_size=4).map(tuple),
    st.lists(LINES, max_size=4).map(tuple),
    FLOATS, COUNTS, COUNTS, st.integers(0, 100_000).map(lambda tenths: tenths / 10), COUNTS,
)  # fmt: skip
RANGES = st.builds(Range, FLOATS, FLOATS, FLOATS, FLOATS)
WORKED = st.builds(
    Worked,
    st.lists(st.builds(StageWorked, WORDS, RANGES, RANGES, RANGES), max_size=4).map(tuple),
    RANGES, RANGES, RANGES, COUNTS, COUNTS, COUNTS,
    st.lists(COUNTS, min_size=199, max_size=199).map(tuple),
    RANGES,
)  # fmt: skip
many = settings(max_examples=60, deadline=None)


def through_json(shape: object) -> Any:
    plain = to_plain(shape)
    return json.loads(json.dumps(plain, sort_keys=True, ensure_ascii=False, allow_nan=False))


@dataclass(frozen=True)
class Leaf:
    on: date
    words: str = "none"


@dataclass(frozen=True)
class Tree:
    leaves: tuple[Leaf, ...]
    best: Leaf | None = None
    sizes: Mapping[int, float] = field(default_factory=dict)
    how: Literal["tall", "wide"] = "tall"


def test_what_is_nested_comes_back() -> None:
    leaf = Leaf(date(2026, 1, 2), "🪵")
    tree = Tree((leaf, Leaf(date(1990, 1, 1))), leaf, {3: 0.1}, "wide")
    assert from_plain(Tree, through_json(tree)) == tree


def test_what_is_not_there_takes_its_default_and_what_is_not_known_is_left_out() -> None:
    assert from_plain(Tree, {"leaves": [{"on": "2026-01-02", "wind": 3}]}) == Tree((Leaf(date(2026, 1, 2)),))


@pytest.mark.parametrize("wrong", [{}, {"leaves": 3}, {"leaves": [{"on": "soon"}]}, {"leaves": [{}]}])
def test_what_is_no_such_shape_is_refused(wrong: object) -> None:
    with pytest.raises((TypeError, ValueError, KeyError)):
        from_plain(Tree, wrong)


@given(
    st.builds(
        Wanted,
        st.text(),
        st.text(),
        st.integers(1, 9),
        measures=st.dictionaries(st.integers(1, 99), FLOATS),
        bought=st.tuples(st.builds(WantedLine, st.text(), st.text(), FLOATS)),
        options=st.tuples(st.builds(WantedOption, st.text(), st.integers(), st.booleans())),
        terms=st.builds(TermsSaid, st.none() | st.integers(0, 9), tax_bp=st.none() | FLOATS),
        price_cents=st.none() | st.integers(),
    )
)
def test_whatever_is_wanted_comes_back_to_the_last_bit(wanted: Wanted) -> None:
    assert from_plain(Wanted, through_json(wanted)) == wanted


@many
@given(ASKED)
def test_what_was_asked_reads_back_equal(asked: Asked) -> None:
    """Of the same types too: a whole number stays one, a float stays one."""
    again = from_plain(Asked, through_json(asked))
    assert (again, repr(again)) == (asked, repr(asked))
    assert from_plain(Asked, to_plain(asked)) == asked, "without JSON between too"


@many
@given(WORKED)
def test_what_came_out_reads_back_equal(worked: Worked) -> None:
    again = from_plain(Worked, through_json(worked))
    assert (again, repr(again)) == (worked, repr(worked))
    assert hash(again) == hash(worked)


def test_a_kept_quote_is_reckoned_again_to_the_same_cents() -> None:
    """Read back after years, with the seed that is kept beside it, it gives every number that it gave."""
    asked = Asked(
        (StageAsked("glue-up – “wide”", Prediction(9.0, 4.1 / 3.0, 0.1 + 0.2), None, 6_242, 0, 1 / 3),),
        (Bought("walnut", "material", 14.3, 1_150, 1_500),),
        margin_bp=3_333,
        tax_bp=887.5,
    )
    first = price(asked, np.random.default_rng(7), 200)
    again = price(from_plain(Asked, through_json(asked)), np.random.default_rng(7), 200)
    kept = from_plain(Worked, through_json(first))
    assert again == first == kept
    assert judge(kept, 20_000) == judge(first, 20_000)


def test_what_a_quote_did_not_know_then_takes_its_default() -> None:
    """A quote kept before deposits were thought of has none; a rush that is none any more is left out."""
    plain = to_plain(Asked((), (), margin_bp=2_500, deposit_bp=5_000))
    del plain["deposit_bp"]
    assert from_plain(Asked, {**plain, "rush": 3}) == replace(Asked(()), margin_bp=2_500)


@pytest.mark.parametrize("plain", [{}, {"bought": []}, {"stages": [{}]}, {"stages": None}, {"stages": [3]}])
def test_what_is_no_quote_is_not_taken_for_one(plain: dict[str, Any]) -> None:
    with pytest.raises((TypeError, KeyError)):
        from_plain(Asked, plain)
