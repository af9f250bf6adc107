"""The real server as a process of its own that also serves a bare Flask page, and counts its queries.

Run as ``python -m tests.bench.served PORT``; the instance is SHOPTRACK_INSTANCE.
"""

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from flask import Flask, Response, g
from sqlalchemy import Engine, event

from shoptrack import cli, web
from shoptrack.config import Config
from shoptrack.store.db import Store

ROOT = Path(__file__).parents[2]
PATIENCE_S = 60.0
made = web.create_app


def bare_app() -> Flask:
    """A Flask app with one page and nothing else: what everything is measured against."""
    app = Flask("bare")

    @app.get("/bare")
    def page() -> str:
        return "<!doctype html><title>bare</title><p>bare"

    return app


def count_queries(app: Flask) -> None:
    """Say in a header how many statements an answer took; the openings of transactions are not counted."""

    @event.listens_for(Engine, "before_cursor_execute")
    def count(_conn: object, _cursor: object, statement: str, *_: object) -> None:
        if g and not statement.startswith("BEGIN"):
            g.queries = g.get("queries", 0) + 1

    @app.after_request
    def tell(response: Response) -> Response:
        response.headers["X-Queries"] = str(g.get("queries", 0))
        return response


def create_app(store: Store, config: Config) -> Flask:
    """The shop's app, with the bare one beside it on the same server."""
    app = made(store, config)
    bare = bare_app()
    count_queries(app)
    shop = app.wsgi_app

    def either(environ: dict[str, Any], start: Callable[..., Any]) -> Iterable[bytes]:
        return (bare if environ["PATH_INFO"] == "/bare" else shop)(environ, start)

    app.wsgi_app = either  # type: ignore[method-assign,assignment]
    return app


def free_port() -> int:
    """A port of this machine that nobody listens on."""
    with closing(socket.socket()) as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])


def start(instance: Path, port: int, module: str = "tests.bench.served") -> "subprocess.Popen[bytes]":
    """Start the server and wait until it answers. Raises RuntimeError when it does not."""
    env = {**os.environ, "SHOPTRACK_INSTANCE": str(instance)}
    env.pop("SHOPTRACK_DATABASE_URL", None)
    with (instance / "serve.log").open("ab") as out:
        command = [sys.executable, "-m", module, str(port)]
        process = subprocess.Popen(command, cwd=ROOT, env=env, stdout=out, stderr=out)
    until = time.monotonic() + PATIENCE_S
    while not _answers(port):
        if process.poll() is not None or time.monotonic() > until:
            process.kill()
            raise RuntimeError((instance / "serve.log").read_text()[-2000:])
        time.sleep(0.02)
    return process


def _answers(port: int) -> bool:
    with closing(socket.socket()) as ask:
        return ask.connect_ex(("127.0.0.1", port)) == 0


@contextmanager
def serving(instance: Path) -> Iterator[int]:
    """The port of a server that runs for the length of a block."""
    port = free_port()
    process = start(instance, port)
    try:
        yield port
    finally:
        process.send_signal(signal.SIGTERM)
        process.wait()


def main() -> None:
    web.create_app = create_app
    cli.main(["serve", "--no-browser", "--port", sys.argv[1]])


if __name__ == "__main__":
    main()
