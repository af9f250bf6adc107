"""The calendar's token: made, renewed, compared; and when something was last written down."""

import re
from datetime import timedelta

from shoptrack.store.base import Base
from shoptrack.store.db import Store
from shoptrack.store.edits import edit, history
from shoptrack.store.feed import feed_token, is_the_token, renew_token, written_at
from shoptrack.store.shop import make_person, shop_row
from tests.store.conftest import NOW


def test_there_is_no_token_until_one_is_made(store: Store) -> None:
    with store.reading() as session:
        assert feed_token(session) is None
        assert not is_the_token(session, "")
        assert not is_the_token(session, "None")


def test_a_token_can_not_be_guessed_and_is_kept(store: Store) -> None:
    """24 random bytes, 192 bits, in letters that need no escape in an address (RFC 4648, section 5)."""
    with store.writing() as session:
        made = renew_token(session, None, NOW)
    assert re.fullmatch(r"[A-Za-z0-9_-]{32}", made)
    with store.reading() as session:
        assert feed_token(session) == made
        assert is_the_token(session, made)
        for wrong in ("", made[:-1], made + "x", made.swapcase(), "ü" * 32):
            assert not is_the_token(session, wrong), wrong


def test_a_new_token_ends_the_old_one(store: Store) -> None:
    with store.writing() as session:
        old = renew_token(session, None, NOW)
    with store.writing() as session:
        new = renew_token(session, None, NOW + timedelta(days=1))
        assert new != old
        assert not is_the_token(session, old)
        assert is_the_token(session, new)


def test_the_history_says_who_renewed_it_and_never_the_token(store: Store) -> None:
    with store.writing() as session:
        una = make_person(session, "Una").id
        made = renew_token(session, una, NOW)
    with store.reading() as session:
        (line,) = history(session, "feed", 1)
        assert (line.person_id, line.at) == (una, NOW)
        assert made not in str(vars(line))


def test_what_was_last_written_moves_with_every_edit(store: Store) -> None:
    with store.reading() as session:
        before = written_at(session)
    assert before == NOW  # the shop was set up then
    later = NOW + timedelta(hours=3)
    with store.writing() as session:
        edit(session, shop_row(session), None, later, name="Another name")
    with store.reading() as session:
        assert written_at(session) == later


def test_nothing_was_written_before_there_is_a_shop(store: Store) -> None:
    with store.writing() as session:
        for name in ("weeks", "edits", "shop"):
            session.execute(Base.metadata.tables[name].delete())
    with store.reading() as session:
        assert written_at(session) is None
