import pytest

from tests.flows.programs.shop import Router, make_router
from tests.joinery import Joinery


@pytest.fixture
def router(joinery: Joinery) -> Router:
    """The small shop with a tray to be routed."""
    return make_router(joinery)
