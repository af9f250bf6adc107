"""A real database file for each test, made by the migrations, with a plain shop in it."""

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from shoptrack.store.db import Store, open_store
from shoptrack.store.migrate import migrate
from tests.store.making import make_plain_shop

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)  # a Monday morning


@pytest.fixture
def url(tmp_path: Path) -> str:
    return f"sqlite:///{tmp_path / 'shop.db'}"


@pytest.fixture
def store(url: str, tmp_path: Path) -> Iterator[Store]:
    migrate(url, tmp_path, NOW)
    opened = open_store(url, tmp_path)
    with opened.writing() as session:
        make_plain_shop(session, "Europe/Berlin", NOW)
    yield opened
    opened.close()
