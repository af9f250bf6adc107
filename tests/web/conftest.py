from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from shoptrack.config import Config
from shoptrack.store.db import Store
from shoptrack.web import create_app
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
