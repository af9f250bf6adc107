"""What is in a person's hands when they are to be retired."""

from shoptrack.flows.shop_uses import in_hand_of
from shoptrack.store.tables import PersonRow, StationRow
from tests.joinery import NOW, PIET, UNA, BusyDay, Joinery, at


def test_whoever_has_something_in_hand(joinery: Joinery, day: BusyDay) -> None:
    """Una has been at the hall door since 13:00; Piet's stint at the letter tray was ended by the log."""
    joinery.tap("pause", at("13:20"), day.letter["oiling"], person=PIET)
    with joinery.store.reading() as session:
        una, piet = session.get(PersonRow, UNA), session.get(PersonRow, PIET)
        assert una is not None
        assert piet is not None
        assert [use.id for use in in_hand_of(joinery.store, session, una, NOW)] == [day.hall["job"]]
        assert in_hand_of(joinery.store, session, piet, NOW) == ()


def test_what_is_no_person_has_no_hands(joinery: Joinery) -> None:
    with joinery.store.reading() as session:
        assert in_hand_of(joinery.store, session, StationRow(name="router"), NOW) == ()
