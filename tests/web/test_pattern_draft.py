"""The draft lies in the form; each button gives the draft after it, and nothing typed is lost."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.errors import BadInput
from shoptrack.web.pattern_draft import Draft, DraftStage, read_draft, tidy, turned

AFTER = "need-0-stage"


def chain(*keys: str) -> Draft:
    """Stages one after the other."""
    made = [DraftStage(k, {"name": k, **({AFTER: keys[n - 1]} if n else {})}) for n, k in enumerate(keys)]
    return Draft("tray", "", 1, tuple(made))


def after(draft: Draft, key: str) -> list[str]:
    typed = next(s.typed for s in draft.stages if s.key == key)
    return [value for name, value in sorted(typed.items()) if name.endswith("-stage")]


def keys(draft: Draft) -> list[str]:
    return [s.key for s in draft.stages]


def form(draft: Draft, **more: str) -> dict[str, str]:
    """What the page of a draft sends back."""
    return {
        "draft": draft.as_text,
        "base": str(draft.base),
        "pattern_name": draft.name,
        "open": draft.open,
        **more,
    }


def test_a_form_carries_every_stage() -> None:
    draft = chain("1", "2", "3")
    assert read_draft(form(draft)) == draft


def test_what_is_typed_in_the_open_stage_takes_the_place_of_what_it_was() -> None:
    sent = form(chain("1", "2"), open="2", name="glue  up\r\ntwice", people="2", **{"need-3-stage": "1"})
    read = read_draft(sent)
    assert read.stages[1].typed == {"name": "glue  up\ntwice", "people": "2", AFTER: "1"}
    assert (read.open, read.stages[0]) == ("2", chain("1").stages[0])


def test_rows_left_empty_are_closed_up() -> None:
    typed = {"clamp-0-pool": "", "clamp-2-pool": "5", "clamp-2-count": "4", "name": " ", "strange": "x"}
    assert tidy(typed) == {"clamp-0-pool": "5", "clamp-0-count": "4"}


@pytest.mark.parametrize(
    "draft", ["", "{", "[1]", '[["1"]]', '[["1", 3]]', '[["1", {}], ["1", {}]]', "[" * 9000]
)
def test_a_broken_draft_is_refused(draft: str) -> None:
    with pytest.raises(BadInput):
        read_draft({"draft": draft})


def test_too_many_stages_are_refused() -> None:
    with pytest.raises(BadInput, match="at most 80"):
        read_draft({"draft": json.dumps([[str(n), {}] for n in range(81)])})
    with pytest.raises(BadInput, match="at most 80"):
        turned(chain(*map(str, range(80))), "branch")


def test_a_stage_added_lies_between_what_it_follows_and_what_followed() -> None:
    draft = turned(chain("1", "2", "3"), "after-1")
    assert (keys(draft), draft.open) == (["1", "n1", "2", "3"], "n1")
    assert (after(draft, "n1"), after(draft, "2"), after(draft, "3")) == (["1"], ["n1"], ["2"])


def test_who_waits_in_some_other_way_is_left_alone() -> None:
    """A coat that must follow within a day waits for the sanding itself, whatever is put between."""
    begun = chain("1", "2")
    timed = DraftStage("2", {AFTER: "1", "need-0-most": "24 h"})
    draft = turned(Draft("tray", "", 1, (begun.stages[0], timed)), "after-1")
    assert after(draft, "2") == ["1"]


def test_what_came_after_a_stage_taken_out_comes_after_what_it_came_after() -> None:
    draft = turned(Draft("t", "", 1, chain("1", "2", "3").stages, "2"), "out-2")
    assert (keys(draft), after(draft, "3"), draft.open) == (["1", "3"], ["1"], "")
    alone = turned(draft, "out-1")
    assert (keys(alone), after(alone, "3")) == (["3"], [])


def test_nothing_is_waited_for_twice() -> None:
    """3 comes after 1 and 2; 2 is taken out, and 3 comes after 1 once."""
    one, two = chain("1", "2").stages
    three = DraftStage("3", {AFTER: "1", "need-1-stage": "2", "need-1-least": "1 h"})
    draft = turned(Draft("t", "", 1, (one, two, three)), "out-2")
    assert draft.stages[1].typed == {AFTER: "1"}


def test_stages_move_within_the_list() -> None:
    draft = chain("1", "2", "3")
    assert keys(turned(draft, "up-3")) == ["1", "3", "2"]
    assert keys(turned(draft, "down-1")) == ["2", "1", "3"]
    assert turned(draft, "up-1") == turned(draft, "down-3") == draft


def test_one_is_opened_and_shut() -> None:
    assert turned(chain("1", "2"), "open-2").open == "2"
    assert turned(Draft("t", "", 1, chain("1").stages, "1"), "shut").open == ""
    assert keys(turned(Draft("", "", 0, ()), "first")) == ["n1"]
    assert keys(turned(chain("n1"), "branch")) == ["n1", "n2"]


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["open", "after", "out", "up", "down", "branch", "odd"]), st.integers(1, 6)
        ),
        max_size=12,
    )
)
def test_no_row_of_buttons_leaves_a_stage_waiting_for_what_is_not_there(
    presses: list[tuple[str, int]],
) -> None:
    draft = chain("1", "2", "3")
    for what, n in presses:
        key = keys(draft)[(n - 1) % len(keys(draft))] if draft.stages else "1"
        draft = turned(draft, f"{what}-{key}")
        assert len(set(keys(draft))) == len(keys(draft))
        for stage in draft.stages:
            waits = after(draft, stage.key)
            assert set(waits) <= set(keys(draft)) - {stage.key}
            assert len(set(waits)) == len(waits)
        assert read_draft(form(draft)).stages == draft.stages or draft.open
