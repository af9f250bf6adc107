"""The places from which a tap may count, by the person's own day."""

from shoptrack.flows.earlier import earlier
from shoptrack.flows.shopfloor import gather
from tests.joinery import NOW, UNA, Joinery, at


def test_lunch_and_closing_of_the_persons_day(joinery: Joinery) -> None:
    row = {e.words: e.value for e in earlier(gather(joinery.store, NOW), UNA, NOW)}
    assert list(row) == ["now", "10 min ago", "30 min ago", "before lunch", "at closing"]
    assert row["before lunch"] == at("12:00").isoformat()
    assert row["at closing"] == at("17:00", -1).isoformat()
