from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from shoptrack import demo
from shoptrack.demo import scene
from shoptrack.store.db import Store, open_store
from shoptrack.store.migrate import migrate

Make = Callable[[str], Store]
TUESDAY = "2026-11-24T10:30"


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """All in one process, so that the whole demo is made once."""
    for item in items:
        if Path(__file__).parent in item.path.parents:
            item.add_marker(pytest.mark.xdist_group("demo"))


def wall(text: str) -> datetime:
    """A wall time of the invented shop as an instant."""
    return datetime.fromisoformat(text).replace(tzinfo=ZoneInfo("America/New_York")).astimezone(UTC)


def empty(folder: Path, now: datetime) -> Store:
    url = f"sqlite:///{folder / 'shop.db'}"
    migrate(url, folder, now)
    return open_store(url, folder)


@pytest.fixture(scope="session")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """The invented shop with all its eighteen months, on a Tuesday at 10:30."""
    store = empty(tmp_path_factory.mktemp("whole"), wall(TUESDAY))
    demo.ensure(store, wall(TUESDAY))
    yield store
    store.close()


@pytest.fixture(scope="session")
def short(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Make]:
    """The invented shop with hardly a past, at any instant; made once for each."""
    made: dict[str, Store] = {}

    def make(now: str, again: str = "") -> Store:
        if now + again not in made:
            with pytest.MonkeyPatch.context() as patch:
                patch.setattr(scene, "MONTHS", 2)
                store = empty(tmp_path_factory.mktemp("short"), wall(now))
                demo.ensure(store, wall(now))
            made[now + again] = store
        return made[now + again]

    yield make
    for store in made.values():
        store.close()
