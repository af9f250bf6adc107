"""Commands typed by hand become calls into the store, and a server that stops cleanly."""

import importlib
import os
import signal
import sys
import threading
import webbrowser
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from types import FrameType
from typing import Any

import click

import shoptrack
from shoptrack import config as settings
from shoptrack import serving
from shoptrack.config import Config
from shoptrack.errors import NotFound, Refused, ShopError
from shoptrack.flows import office_door, take_out
from shoptrack.flows.bring_in_everything import bring_shop_file
from shoptrack.flows.learner import Learner
from shoptrack.flows.planning.foreteller import Foreteller
from shoptrack.flows.planning.planner import Planner
from shoptrack.serving import Servers
from shoptrack.store import backup as backups
from shoptrack.store import devices, inspection
from shoptrack.store import migrate as migrations
from shoptrack.store import restore as restoring
from shoptrack.store.addresses import look, tablet_addresses
from shoptrack.store.db import Store, database_path, open_store, reading_only
from shoptrack.store.everything import Beside
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
@click.option("--lan", is_flag=True, help="Serve the shop's tablets too, each paired by a code first.")
@click.option("--https", is_flag=True, help="Serve by https as well, on the next port, by the shop's own CA.")
def serve(port: int | None, demo: bool, no_browser: bool, lan: bool, https: bool) -> None:
    """Serve the shop's pages on this machine; makes and migrates the database where that is missing."""
    config = settings.load(demo=demo)
    config = replace(config, port=config.port if port is None else port)
    config = serving.on_network(config) if lan else config
    renewer = serving.Renewer(config, _now) if https else None
    with hold(database_path(config.database_url), "serve"), serving.listening(config, renewer) as servers:
        config = replace(config, port=servers.port, https_port=servers.https_port)
        with _opened(config, demo) as store:
            servers.answer_with(importlib.import_module("shoptrack.web").create_app(store, config))
            address = f"http://{serving.own_host(config)}:{config.port}/"
            click.echo(f"shoptrack is at {address} (Ctrl-C stops it)")
            for sentence in _for_tablets(config, store):
                click.echo(sentence)
            if not no_browser:
                _open_browser(address)
            _serve_until_stopped(servers, store, config)


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


@main.command("export")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--photos", is_flag=True, help="Put the photos into the zip too.")
def export_shop(file: Path, photos: bool) -> None:
    """Take everything out into FILE, a zip or a .json document; also while serve runs."""
    config = settings.load()
    path = _existing(config)
    _refuse_other_tables(config)
    take_out.write_everything(Beside(path, config.instance), file, _now(), photos=photos)
    click.echo(f"Everything is in {file}")


@main.command("import")
@click.argument("file", type=click.Path(path_type=Path))
def import_shop(file: Path) -> None:
    """Put the shop that was taken out into FILE into an empty database."""
    config = settings.load()
    with hold(database_path(config.database_url), "import"):
        migrations.migrate(config.database_url, config.instance, _now())
        store = open_store(config.database_url, config.instance)
        try:
            found = bring_shop_file(store, file)
        finally:
            store.close()
    click.echo(f"Brought in {found.rows:,} rows of {found.tables} tables and {found.photos:,} photos.")


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
@click.argument("name")
def forget_pin(name: str) -> None:
    """Take away the PIN of the person called NAME, who forgot it; only while serve does not run."""
    config = settings.load()
    with hold(_existing(config), "forget-pin"):
        store = open_store(config.database_url, config.instance)
        try:
            office_door.forget_pin(store, name)
        finally:
            store.close()
    click.echo(f"{name} has no PIN any more.")


@main.command()
@click.option("--check", is_flag=True, required=True, help="Compare the tally with the log.")
def replay(check: bool) -> None:
    """Replay the whole log and compare the tally with it; exit status 1 on any difference."""
    config = settings.load()
    path = _existing(config)
    _refuse_other_tables(config)
    with reading_only(path) as session:
        different = inspection.replay_check(session, _now())
    for sentence in different:
        click.echo(sentence)
    if different:
        sys.exit(1)
    click.echo("The tally agrees with the log.")


def _now() -> datetime:
    return datetime.now(UTC)  # noqa: TID251 # commands are where the clock is read


def _refuse_other_tables(config: Config) -> None:
    if migrations.current(config.database_url) != migrations.head_revision():
        raise Refused("The database's tables are not this program's; run: shoptrack migrate")


def _existing(config: Config) -> Path:
    path = database_path(config.database_url)
    if not path.exists():
        raise NotFound(f"There is no database at {path} yet; run: shoptrack migrate")
    return path


def _for_tablets(config: Config, store: Store) -> Iterator[str]:
    """Where tablets find the shop, and which of them look for it where it is no more."""
    if not config.lan:
        return
    found = tablet_addresses(config, look())
    yield f"For tablets: {' or '.join(found)}" if found else "This machine is on no network now."
    with store.reading() as session:
        for device in devices.elsewhere(session, set(found)):
            yield (
                f"{device.name} was paired at {device.paired_address}, where the shop is not now: give this "
                "machine its old address back, or pair it again."
            )


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
        yield store
    finally:
        store.close()


def _serve_until_stopped(servers: Servers, store: Store, config: Config) -> None:
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, _stop)
    keeper, learner = Keeper(store, _now, config.second_backup_folder), Learner(store, _now)
    planner = Planner(store, _now)
    foreteller = Foreteller(store, _now, planner)
    keeper.start()
    learner.start()
    planner.start()
    foreteller.start()
    try:
        servers.serve()
    except KeyboardInterrupt:
        click.echo("Stopping.")
    finally:
        servers.stop()
        planner.stop()
        foreteller.stop()
        learner.stop()
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
