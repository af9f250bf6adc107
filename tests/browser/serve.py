"""The real program, started as a process of its own that also answers to shop.test and dies when told.

Run as ``python -m tests.browser.serve PORT [lan] [https]``. The instance is SHOPTRACK_INSTANCE. While the
file ``die`` is there, the next post of entries is committed and the process ends before the answer leaves.
With ``lan`` it listens on loopback still, but lets in as if it were on the shop's network. The file ``ahead``
says how many minutes the shop's clock is ahead of the machine's: a night passes by writing it.
"""

import os
import signal
import sys
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

from flask import Flask, Response, request

from shoptrack import cli, web
from shoptrack.config import Config
from shoptrack.store.addresses import Reach
from shoptrack.store.db import Store

NAME = "shop.test"
made = web.create_app


def create_app(store: Store, config: Config) -> Flask:
    app = made(store, replace(config, host="0.0.0.0") if "lan" in sys.argv else config)
    app.config.update(EXTRA_HOSTS=(NAME,), REACH=Reach((), (NAME,)))
    die, ahead = Path(config.instance) / "die", Path(config.instance) / "ahead"

    def now() -> datetime:
        minutes = int(ahead.read_text()) if ahead.exists() else 0
        return datetime.now(UTC) + timedelta(minutes=minutes)  # noqa: TID251 # the machine's clock, moved

    app.config["NOW"] = now

    @app.after_request
    def die_before_the_answer(response: Response) -> Response:
        if request.path == "/api/entries" and die.exists():
            die.unlink()
            os.kill(os.getpid(), signal.SIGKILL)
        return response

    return app


if __name__ == "__main__":
    web.create_app = create_app
    https = ["--https"] if "https" in sys.argv else []
    cli.main(["serve", "--no-browser", "--port", sys.argv[1], *https])
