"""Two people changed one revision: what the other changed is taken over where nothing was typed here."""

from shoptrack.web.pattern_draft import Draft, DraftStage
from shoptrack.web.pattern_merge import merged

MILL, GLUE = ("1", {"name": "mill", "per_piece": "2"}), ("2", {"name": "glue", "need-0-stage": "1"})


def draft(*stages: tuple[str, dict[str, str]], base: int = 1, name: str = "tray") -> Draft:
    return Draft(name, "", base, tuple(DraftStage(key, typed) for key, typed in stages))


def as_pairs(made: Draft) -> list[tuple[str, dict[str, str]]]:
    return [(s.key, dict(s.typed)) for s in made.stages]


def test_each_keeps_what_only_they_changed() -> None:
    """We want three boards a piece, they renamed the glue-up and gave it clamps; both are in."""
    glued = ("2", {"name": "glue up", "need-0-stage": "1", "clamp-0-pool": "1", "clamp-0-count": "4"})
    ours, theirs = draft(("1", {"name": "mill", "per_piece": "3"}), GLUE), draft(MILL, glued, base=2)
    made = merged(ours, draft(MILL, GLUE), theirs)
    assert as_pairs(made) == [("1", {"name": "mill", "per_piece": "3"}), glued]
    assert made.base == 2


def test_where_both_changed_it_ours_stays() -> None:
    ours, theirs = draft(("1", {"name": "saw"})), draft(("1", {"name": "plane", "per_piece": "4"}), base=2)
    assert as_pairs(merged(ours, draft(MILL), theirs)) == [("1", {"name": "saw"})]


def test_what_they_added_comes_in_its_place_and_ours_stays() -> None:
    sand, lid = ("3", {"name": "sand", "need-0-stage": "1"}), ("n1", {"name": "lid"})
    made = merged(draft(MILL, GLUE, lid), draft(MILL, GLUE), draft(MILL, sand, GLUE, base=2))
    assert [s.key for s in made.stages] == ["1", "3", "2", "n1"]


def test_what_they_took_out_goes_unless_we_worked_on_it() -> None:
    theirs = draft(MILL, base=2)
    assert as_pairs(merged(draft(MILL, GLUE), draft(MILL, GLUE), theirs)) == [MILL]
    changed = ("2", {"name": "glue twice", "need-0-stage": "1"})
    assert as_pairs(merged(draft(MILL, changed), draft(MILL, GLUE), theirs)) == [MILL, changed]


def test_what_we_took_out_stays_out() -> None:
    assert as_pairs(merged(draft(MILL), draft(MILL, GLUE), draft(MILL, GLUE, base=2))) == [MILL]


def test_the_name_too() -> None:
    base, theirs = draft(MILL), draft(MILL, name="tea tray", base=2)
    assert merged(draft(MILL), base, theirs).name == "tea tray"
    assert merged(draft(MILL, name="large tray"), base, theirs).name == "large tray"
