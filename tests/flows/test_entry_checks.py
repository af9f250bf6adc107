"""Rules across the members of a tap: each finds nothing, or a sentence of its own."""

import pytest

from shoptrack.engine.shapes import DEEDS
from shoptrack.flows import entry_checks
from shoptrack.flows.entry_checks import CHECKED, Said
from shoptrack.flows.entry_kinds import KINDS
from tests.flows.taps import NOW


def said(**more: object) -> Said:
    return Said(id="tap-00001", seq=1, kind="edge", at=NOW, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("did", DEEDS)
def test_each_deed_can_be_said_with_what_it_needs(did: str) -> None:
    """Fitted needs the edge, a meter its reading; all else is told by the tool alone."""
    needed: dict[str, dict[str, object]] = {"fitted": {"edge": 2}, "meter": {"minutes": 600.0}}
    whole = said(tool=1, choice=did, **needed.get(did, {}))
    assert [check(whole) for check in KINDS["edge"].checks] == [""] * len(KINDS["edge"].checks)
    bare = [check(said(tool=1, choice=did)) for check in KINDS["edge"].checks]
    assert any(bare) == (did in needed)


def test_what_is_wrong_is_shown_beside_a_field_that_the_kind_has() -> None:
    """Every rule that names a member names one that each kind with this rule may carry."""
    rules = {check for kind in KINDS.values() for check in kind.checks}
    assert CHECKED.keys() <= rules
    for kind in KINDS.values():
        assert {CHECKED[c] for c in kind.checks if c in CHECKED} <= kind.allowed


def test_the_rules_of_counts_and_answers() -> None:
    """The one sentence of each, and nothing where it is right."""
    assert entry_checks.count_of_one_stage(said(stages=(1, 2), count=3.0)) != ""
    assert entry_checks.count_of_one_stage(said(stages=(1,), count=3.0)) == ""
    assert entry_checks.whole_clamps(said(count=2.5)) == "Clamps are counted whole."
    assert entry_checks.share_spoiled(said(count=3.0, out_of=2.0)) != ""
    assert entry_checks.answer_says_it(said(choice="other")) != ""
    assert entry_checks.answer_says_it(said(choice="other", minutes=5.0)) == ""
    assert entry_checks.another_helper(said(person=1, helper=1)) == "Nobody can help themselves."
