import pytest

from tests.flows.quoting.shop import price_all
from tests.joinery import Joinery


@pytest.fixture
def wood(joinery: Joinery) -> int:
    """The number of the cherry, in a shop that has rates, terms and prices."""
    return price_all(joinery)
