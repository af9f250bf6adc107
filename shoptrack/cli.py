"""Commands typed by hand become calls into the store, and a server that stops cleanly."""

import importlib
import os
import signal
import socket
import sys
import threading
import webbrowser
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from types import FrameType
from typing import Any
from zoneinfo import ZoneInfo

import click
from cheroot import wsgi

import shoptrack
from shoptrack import config as settings
from shoptrack.config import Config
from shoptrack.errors import NotFound, Refused, ShopError
from shoptrack.store import backup as backups
from shoptrack.store import inspection, shop
from shoptrack.store import migrate as migrations
from shoptrack.store import restore as restoring
from shoptrack.store.db import Store, database_path, open_store, reading_only
from shoptrack.store.keeper import Keeper
from shoptrack.store.lock import hold


class _Plain(click.Group):
    """Commands whose refusals are one sentence on the error stream and exit status 1."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except ShopError as problem:
            click.echo(str(problem), err=True)
            sys.exit(1)


@click.group(cls=_Plain)
@click.version_option(shoptrack.__version__, prog_name="shoptrack")
def main() -> None:
    """A job tracker for a small custom wood shop.

    SHOPTRACK_INSTANCE names the instance folder (else ./instance), SHOPTRACK_DATABASE_URL another
    database than the one inside it.
    """


@main.command()
@click.option("--port", type=click.IntRange(0, 65535), help="Port to listen on; 0 takes a free one.")
@click.option("--demo", is_flag=True, help="Serve the invented shop, from a database of its own.")
@click.option("--no-browser", is_flag=True, help="Do not open the browser.")
def serve(port: int | None, demo: bool, no_browser: bool) -> None:
    """Serve the shop's pages on this machine; makes and migrates the database where that is missing."""
    config = settings.load(demo=demo)
    if port is not None:
        config = replace(config, port=port)
    with hold(database_path(config.database_url), "serve"), _listening(config) as server:
        config = replace(config, port=server.bind_addr[1])
        with _opened(config, demo) as store:
            server.wsgi_app = importlib.import_module("shoptrack.web").create_app(store, config)
            address = f"http://{config.host}:{config.port}/"
            click.echo(f"shoptrack is at {address} (Ctrl-C stops it)")
            if not no_browser:
                _open_browser(address)
            _serve_until_stopped(server, store, config)


@main.command()
def migrate() -> None:
    """Make the database, or bring its tables up to this program's."""
    config = settings.load()
    click.echo(f"The tables are at {migrations.migrate(config.database_url, config.instance, _now())}.")


@main.command()
def backup() -> None:
    """Copy the database, photos and settings into one checked file; also while serve runs."""
    config = settings.load()
    path = _existing(config)
    file = backups.keep(path, config.instance, _now(), config.second_backup_folder)
    click.echo(f"Backed up to {file}")


@main.command()
@click.argument("file", type=click.Path(path_type=Path))
def restore(file: Path) -> None:
    """Put a backup FILE in the place of the database; what was there is set aside."""
    config = settings.load()
    path = database_path(config.database_url)
    aside = restoring.restore(file, path, config.instance, _now())
    migrations.migrate(config.database_url, config.instance, _now())
    click.echo(f"Restored from {file}. What was there is in {aside}")


@main.command()
def inspect() -> None:
    """Say how the instance is; exit status 1 when something is wrong."""
    config = settings.load()
    found = inspection.look(config.database_url, config.instance, _now())
    for finding in found:
        click.echo(f"{'WRONG ' if finding.wrong else ''}{finding.name}: {finding.words}")
    if any(finding.wrong for finding in found):
        sys.exit(1)


@main.command()
@click.option("--check", is_flag=True, required=True, help="Compare the tally with the log.")
def replay(check: bool) -> None:
    """Replay the whole log and compare the tally with it; exit status 1 on any difference."""
    config = settings.load()
    path = _existing(config)
    if migrations.current(config.database_url) != migrations.head_revision():
        raise Refused("The database's tables are not this program's; run: shoptrack migrate")
    with reading_only(path) as session:
        different = inspection.replay_check(session, _now())
    for sentence in different:
        click.echo(sentence)
    if different:
        sys.exit(1)
    click.echo("The tally agrees with the log.")


def _now() -> datetime:
    return datetime.now(UTC)  # noqa: TID251 # commands are where the clock is read


def _existing(config: Config) -> Path:
    path = database_path(config.database_url)
    if not path.exists():
        raise NotFound(f"There is no database at {path} yet; run: shoptrack migrate")
    return path


@contextmanager
def _listening(config: Config) -> Iterator[wsgi.Server]:
    """A server whose port is taken but that answers nobody yet."""
    _try_port(config)
    server = wsgi.Server((config.host, config.port), None, server_name="shoptrack")
    server.prepare()
    try:
        yield server
    finally:
        server.stop()


def _try_port(config: Config) -> None:
    family = socket.AF_INET6 if ":" in config.host else socket.AF_INET
    try:
        socket.create_server((config.host, config.port), family=family).close()
    except OSError as problem:
        raise Refused(
            f"Port {config.port} on {config.host} is in use or not allowed; choose another with --port."
        ) from problem


@contextmanager
def _opened(config: Config, demo: bool) -> Iterator[Store]:
    if demo:
        importlib.import_module("shoptrack.demo").refuse_real(database_path(config.database_url))
    migrations.migrate(config.database_url, config.instance, _now())
    store = open_store(config.database_url, config.instance)
    try:
        if demo:
            # a demo made on another day is replaced by a new one in a new file
            store = importlib.import_module("shoptrack.demo").ensure(store, _now()) or store
        with store.writing() as session:
            if shop.find_shop(session) is None:
                shop.make_plain_shop(session, machine_zone(), _now())
        yield store
    finally:
        store.close()


def _serve_until_stopped(server: wsgi.Server, store: Store, config: Config) -> None:
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, _stop)
    keeper = Keeper(store, _now, config.second_backup_folder)
    keeper.start()
    try:
        server.serve()
    except KeyboardInterrupt:
        click.echo("Stopping.")
    finally:
        server.stop()
        keeper.stop()


def _stop(number: int, _: FrameType | None) -> None:
    for each in (signal.SIGINT, signal.SIGTERM):
        signal.signal(each, signal.SIG_IGN)  # once is enough: the second would break off the stopping
    raise KeyboardInterrupt


def _open_browser(address: str) -> threading.Thread | None:
    """Open the page where there is a screen to open it on, without waiting for it."""
    has_screen = sys.platform in ("win32", "darwin") or {"DISPLAY", "WAYLAND_DISPLAY"} & os.environ.keys()
    if not has_screen:
        return None
    thread = threading.Thread(target=webbrowser.open, args=(address,), daemon=True)
    thread.start()
    return thread


def machine_zone(localtime: Path = Path("/etc/localtime")) -> str:
    """The zone this machine keeps: TZ, else where /etc/localtime points, else UTC."""
    linked = str(localtime.resolve()) if localtime.is_symlink() else ""
    for name in (os.environ.get("TZ", "").lstrip(":"), linked.partition("zoneinfo/")[2]):
        with suppress(KeyError, ValueError, OSError):
            return ZoneInfo(name).key
    return "UTC"
