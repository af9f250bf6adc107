"""What is not a person's to do: said, said again, taken back, and refused where the kind is not there."""

import pytest

from shoptrack.errors import BadInput
from shoptrack.store import snapshot
from shoptrack.store.db import Store
from shoptrack.store.edits import history
from shoptrack.store.skills import never_of, never_words, say_never
from shoptrack.store.tables import PersonRow
from tests.store.making import NOW, furnish


def test_everybody_does_everything_until_it_is_said(store: Store) -> None:
    """Ben does no glue-up; said twice it is said once; then he does it again."""
    with store.writing() as session:
        made = furnish(session)
        ben = session.get_one(PersonRow, made.ben)
        assert never_of(session, made.ben) == frozenset()
        assert say_never(session, ben, [made.kind], made.ann, NOW)
        assert not say_never(session, ben, [made.kind, made.kind], made.ann, NOW)
        assert never_words(session, made.ben) == "glue-up"
    with store.reading() as session:
        people = snapshot.world(session).people
    assert people[made.ann].never == frozenset()
    assert people[made.ben].never == frozenset({made.kind})
    with store.writing() as session:
        assert say_never(session, session.get_one(PersonRow, made.ben), (), None, NOW)
        assert never_words(session, made.ben) == ""
        lines = [(x.field, x.before, x.after, x.person_id) for x in history(session, "people", made.ben)]
    assert lines == [
        ("does_not_do", None, "glue-up", made.ann),
        ("does_not_do", "glue-up", None, None),
    ]


def test_a_kind_that_is_not_there_is_refused(store: Store) -> None:
    with store.writing() as session:
        made = furnish(session)
        with pytest.raises(BadInput, match="not there any more"):
            say_never(session, session.get_one(PersonRow, made.ben), [made.kind, 99], None, NOW)
        assert never_of(session, made.ben) == frozenset()
