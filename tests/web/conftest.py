from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from shoptrack.config import Config
from shoptrack.store.db import Store
from shoptrack.web import create_app
from tests.first_day import filled_in, unset_store
from tests.joinery import NOW, Joinery

ORIGIN = {"Origin": "http://localhost"}


@pytest.fixture
def config(tmp_path: Path) -> Config:
    return Config(instance=tmp_path, database_url=f"sqlite:///{tmp_path / 'shop.db'}")


@pytest.fixture
def bare_app(bare_store: Store, config: Config) -> Flask:
    app = create_app(bare_store, config)
    app.config.update(TESTING=True, NOW=lambda: NOW)
    return app


@pytest.fixture
def bare(bare_app: Flask) -> FlaskClient:
    return bare_app.test_client()


@pytest.fixture
def client(joinery: Joinery, bare: FlaskClient) -> FlaskClient:
    """The pages of the small shop."""
    return bare


@pytest.fixture
def office(client: FlaskClient) -> FlaskClient:
    """The pages of the small shop with Una at the office's own machine."""
    client.post("/office", data={"person": "1"}, headers=ORIGIN)
    return client


@pytest.fixture
def store_of(joinery: Joinery) -> Store:
    """The database behind the pages."""
    return joinery.store


@pytest.fixture
def unset(tmp_path: Path) -> Iterator[Store]:
    opened = unset_store(tmp_path)
    yield opened
    opened.close()


@pytest.fixture
def unset_app(unset: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Flask:
    monkeypatch.setenv("TZ", "America/New_York")
    made = create_app(unset, Config(instance=tmp_path, database_url=f"sqlite:///{tmp_path / 'shop.db'}"))
    made.config.update(TESTING=True, NOW=lambda: NOW)
    return made


@pytest.fixture
def stranger(unset_app: Flask) -> FlaskClient:
    return unset_app.test_client()


@pytest.fixture
def walk(stranger: FlaskClient) -> Callable[..., str]:
    """Goes through the steps up to one, changing nothing but what must be typed; gives where that leads."""

    def go(until: str = "") -> str:
        path = "/start/shop"
        while path.startswith("/start/") and path != f"/start/{until}":
            said = filled_in(stranger.get(path).text)
            typed = {"names": "Nel\nOskar", "customer": "the Fernside inn"}
            said |= {name: words for name, words in typed.items() if name in said}
            answer = stranger.post(path, data=said, headers=ORIGIN)
            assert answer.status_code == 303, answer.text
            path = answer.headers["Location"]
        return path

    return go
