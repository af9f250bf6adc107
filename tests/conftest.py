import os
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from shoptrack.store.db import Store
from tests.joinery import BusyDay, Joinery, kept

# in CI the same examples each time, so that a red run is about the change; by hand new ones each time
settings.register_profile("ci", derandomize=True, deadline=None)
settings.register_profile("by hand", deadline=None)
settings.load_profile("ci" if os.environ.get("CI") else "by hand")


@pytest.fixture
def bare_store(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    """A database: with the small shop where the test asks for it, else with tables and a name alone."""
    asked = set(request.fixturenames)
    how = "busy" if "day" in asked else "shop" if asked & {"joinery", "client"} else "bare"
    store = kept(how).put(tmp_path)
    yield store
    store.close()


@pytest.fixture
def joinery(request: pytest.FixtureRequest, bare_store: Store) -> Joinery:
    """A small invented shop; without a job unless the test asks for its busy day."""
    return kept("busy" if "day" in request.fixturenames else "shop").joinery(bare_store)


@pytest.fixture
def day(joinery: Joinery) -> BusyDay:
    """The small shop on its busy Wednesday, 13:24."""
    found = kept("busy").day
    assert found is not None
    return found
