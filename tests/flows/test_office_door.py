"""Who gets into the office, one try at a time, and who may change a PIN."""

import threading
from datetime import timedelta

import pytest

from shoptrack.errors import BadInput, NotAllowed, NotFound, ShopError
from shoptrack.flows.office_door import door, enter, forget_pin, prove, remove_pin, set_pin
from shoptrack.store import pins
from shoptrack.store.db import Store
from tests.joinery import NOW, PIET, UNA, Joinery

SALT = "5a" * 16


@pytest.fixture
def locked(joinery: Joinery) -> Store:
    """Una has the PIN 2468; Piet has none."""
    set_pin(joinery.store, UNA, "", UNA, "2468", SALT, NOW)
    return joinery.store


def test_without_any_pin_a_name_is_enough(joinery: Joinery) -> None:
    assert enter(joinery.store, PIET, "", NOW) == ""
    with joinery.store.reading() as session:
        seen = door(session)
    assert (seen.people, seen.locked, dict(seen.stamps)) == ((UNA, PIET), False, {UNA: "", PIET: ""})
    with pytest.raises(BadInput):
        enter(joinery.store, 99, "", NOW)


def test_with_one_only_its_holder_gets_in(locked: Store) -> None:
    assert enter(locked, UNA, "2468", NOW) == NOW.isoformat()
    with pytest.raises(NotAllowed, match="Piet has no PIN"):
        enter(locked, PIET, "2468", NOW)
    with locked.reading() as session:
        assert set(door(session).stamps) == {UNA}


def test_a_wrong_try_makes_even_the_right_one_wait(locked: Store) -> None:
    with pytest.raises(BadInput):
        enter(locked, UNA, "1357", NOW)
    with pytest.raises(NotAllowed, match="wait 1 s"):
        enter(locked, UNA, "2468", NOW)
    with pytest.raises(BadInput):
        enter(locked, UNA, "1357", NOW + timedelta(seconds=1))
    with pytest.raises(NotAllowed, match="wait 2 s"):
        enter(locked, UNA, "2468", NOW + timedelta(seconds=1))
    assert enter(locked, UNA, "2468", NOW + timedelta(seconds=3))
    with locked.reading() as session:
        row = pins.find(session, UNA)
        assert row is not None
        assert (row.failures, row.wait_until) == (0, None)


def test_a_try_that_has_to_wait_is_not_counted(locked: Store) -> None:
    """Else somebody who keeps knocking could keep the holder out for good."""
    with pytest.raises(BadInput):
        enter(locked, UNA, "1357", NOW)
    for _ in range(20):
        with pytest.raises(NotAllowed):
            enter(locked, UNA, "1357", NOW)
    assert enter(locked, UNA, "2468", NOW + timedelta(seconds=1))


def test_guesses_made_at_once_are_one_guess(locked: Store) -> None:
    """Eight threads guess in the same instant: one is compared, the others have to wait."""
    go, said = threading.Barrier(8), list[type[ShopError]]()

    def guess(n: int) -> None:
        go.wait()
        try:
            prove(locked, UNA, f"000{n}", NOW, "pin")
        except ShopError as problem:
            said.append(type(problem))

    threads = [threading.Thread(target=guess, args=(n,)) for n in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(kind.__name__ for kind in said) == ["BadInput"] + ["NotAllowed"] * 7


def test_a_pin_of_any_length_is_compared_only_where_it_can_be_one(locked: Store) -> None:
    with pytest.raises(BadInput, match="not the PIN"):
        enter(locked, UNA, "2468" * 100_000, NOW)


def test_changing_it_needs_the_old_one(locked: Store) -> None:
    with pytest.raises(BadInput) as refused:
        set_pin(locked, UNA, "1111", UNA, "3333", SALT, NOW)
    assert refused.value.field == "proof"
    later = NOW + timedelta(minutes=1)
    set_pin(locked, UNA, "2468", UNA, "3333", SALT, later)
    assert enter(locked, UNA, "3333", later) == later.isoformat()


def test_a_holder_sees_to_anothers(locked: Store) -> None:
    set_pin(locked, UNA, "2468", PIET, "7777", SALT, NOW)
    assert enter(locked, PIET, "7777", NOW)
    remove_pin(locked, UNA, "2468", PIET, NOW)
    remove_pin(locked, UNA, "2468", PIET, NOW)
    with pytest.raises(NotAllowed):
        enter(locked, PIET, "7777", NOW)


def test_who_has_none_sets_none_for_others(joinery: Joinery) -> None:
    with pytest.raises(NotAllowed, match="of your own first"):
        set_pin(joinery.store, UNA, "", PIET, "7777", SALT, NOW)
    with pytest.raises(BadInput, match="4 to 12 figures"):
        set_pin(joinery.store, UNA, "", UNA, "77", SALT, NOW)
    with pytest.raises(BadInput, match="no PIN to compare"):
        prove(joinery.store, UNA, "7777", NOW, "pin")


def test_a_forgotten_pin_is_taken_away_by_name(locked: Store) -> None:
    for name, words in (("Nobody", "Nobody called Nobody"), ("Piet", "Piet has no PIN")):
        with pytest.raises(NotFound, match=words):
            forget_pin(locked, name)
    forget_pin(locked, " una ")
    assert enter(locked, UNA, "", NOW) == ""
