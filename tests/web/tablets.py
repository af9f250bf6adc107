"""A shop served to its network, and who comes to it: from the machine itself, paired, or a stranger."""

from dataclasses import dataclass, field
from typing import Any

from flask import Flask
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from shoptrack.config import Config
from shoptrack.store import devices
from shoptrack.store.addresses import Reach
from shoptrack.store.db import Store
from shoptrack.web import create_app
from tests.joinery import NOW

SHOP = "192.168.1.7"
HTTP, HTTPS, HERE = f"http://{SHOP}:8750", f"https://{SHOP}:8751", "http://127.0.0.1:8750"
REACH = Reach((SHOP, "fd00::7"), ("shop.local", "shop"))


def open_shop(store: Store, config: Config, https: bool = False) -> Flask:
    """The app as ``serve --lan`` makes it, on a network that is said and not looked at."""
    served = Config(config.instance, config.database_url, host="0.0.0.0", https_port=8751 if https else None)
    app = create_app(store, served)
    app.config.update(TESTING=True, NOW=lambda: NOW, REACH=REACH)
    return app


@dataclass
class Visitor:
    """A browser at an address, that sends what browsers send."""

    app: Flask
    at: str = HTTP
    peer: str = "192.168.1.50"
    client: FlaskClient = field(init=False)

    def __post_init__(self) -> None:
        self.client = self.app.test_client()

    def get(self, path: str, **more: Any) -> TestResponse:
        return self.open("GET", path, **more)

    def post(self, path: str, **more: Any) -> TestResponse:
        headers = {"Origin": self.at, **more.pop("headers", {})}
        return self.open("POST", path, headers=headers, **more)

    def open(self, method: str, path: str, **more: Any) -> TestResponse:
        environ = {"REMOTE_ADDR": self.peer}
        return self.client.open(path, method=method, base_url=self.at, environ_base=environ, **more)


def office_here(app: Flask) -> Visitor:
    """Who sits at the machine itself."""
    return Visitor(app, HERE, "127.0.0.1")


def paired(app: Flask, store: Store, kind: str, at: str = HTTP, name: str = "tablet") -> Visitor:
    """A device that was paired by a code, as it happens in the shop."""
    code = f"CODE{kind.upper()}{name.upper()}"
    with store.writing() as session:
        devices.offer(session, code, name, kind, NOW)
    found = Visitor(app, at)
    answer = found.post("/pair", data={"code": code, "id": "one form"})
    assert answer.status_code == 303, answer.text
    return found


def tap_of(stage: int, person: int = 1) -> dict[str, object]:
    """An envelope with one start, as a tablet sends it."""
    at = NOW.isoformat()
    entry = {
        "id": f"tap-of-{stage:05d}",
        "seq": 1,
        "kind": "start",
        "at": at,
        "person": person,
        "stages": [stage],
    }
    return {"device": "tablet-of-a-test", "sent_at": at, "entries": [entry]}
