"""The commands as a person types them, each in a process of its own where it matters."""

import os
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import urllib.request
import venv
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from shoptrack import cli
from shoptrack.cli import main
from shoptrack.config import load
from shoptrack.store import devices
from shoptrack.store.addresses import Reach
from shoptrack.store.db import open_store

ROOT = Path(__file__).parents[1]
PROGRAM = [sys.executable, "-c", "from shoptrack.cli import main; main()"]


@pytest.fixture
def instance(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("SHOPTRACK_INSTANCE", str(tmp_path / "instance"))
    monkeypatch.delenv("SHOPTRACK_DATABASE_URL", raising=False)
    return tmp_path / "instance"


def run(*words: str) -> Result:
    return CliRunner().invoke(main, words)


@contextmanager
def served(*words: str) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """The server in a process of its own, with its address once it has said it."""
    process = subprocess.Popen(
        [*PROGRAM, "serve", "--no-browser", *words],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    try:
        assert process.stdout is not None
        line = process.stdout.readline()
        assert "http://" in line, line + process.stdout.read()
        yield process, line.split()[3]
    finally:
        if process.poll() is None:
            process.kill()
        process.wait()
        if process.stdout is not None:
            process.stdout.close()


def test_migrate_makes_the_database_and_inspect_finds_it_well(instance: Path) -> None:
    first = run("migrate")
    assert (first.exit_code, "The tables are at" in first.output) == (0, True)
    looked = run("inspect")
    assert looked.exit_code == 0
    for name in ("shoptrack:", "Python:", "SQLite:", "database id:", "integrity: whole", "free space:"):
        assert name in looked.output


def test_without_a_database_each_command_says_what_to_do(instance: Path) -> None:
    for words in (("backup",), ("replay", "--check")):
        result = run(*words)
        assert (result.exit_code, result.stdout) == (1, "")
        assert "run: shoptrack migrate" in result.stderr
        assert result.stderr.count("\n") == 1
    looked = run("inspect")
    assert looked.exit_code == 1
    assert "WRONG database: there is none yet" in looked.output


def test_another_database_is_named_by_its_address(
    instance: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SHOPTRACK_DATABASE_URL", f"sqlite:///{tmp_path / 'other.db'}")
    assert run("migrate").exit_code == 0
    assert (tmp_path / "other.db").exists()
    assert not (instance / "shop.db").exists()
    monkeypatch.setenv("SHOPTRACK_DATABASE_URL", "postgresql://localhost/shop")
    result = run("migrate")
    assert (result.exit_code, result.stderr.count("\n")) == (1, 1)
    assert "PostgreSQL comes in a later version" in result.stderr


def test_backup_and_restore_go_there_and_back(instance: Path) -> None:
    run("migrate")
    made = run("backup")
    assert made.exit_code == 0
    (file,) = (instance / "backups").glob("shop-*.zip")
    with closing(sqlite3.connect(instance / "shop.db")) as raw, raw:
        raw.execute("INSERT INTO materials (name) VALUES ('ash')")
    restored = run("restore", str(file))
    assert restored.exit_code == 0
    assert "What was there is in" in restored.output
    with closing(sqlite3.connect(instance / "shop.db")) as raw:
        assert raw.execute("SELECT count(*) FROM materials").fetchone() == (0,)
    wrong = run("restore", str(instance / "nothing.zip"))
    assert (wrong.exit_code, "There is no file" in wrong.stderr) == (1, True)


def test_replay_check_finds_a_row_that_was_tampered_with(instance: Path) -> None:
    """A finished stage in the tally of which the log knows nothing."""
    run("migrate")
    with closing(sqlite3.connect(instance / "shop.db")) as raw, raw:
        raw.execute(
            "INSERT INTO shop (id, name, zone, length_unit, temperature_unit, currency, clock_24h, is_demo, "
            "made_at) VALUES (1,'x','UTC','in','F','USD',1,0,'2026-01-01 00:00:00')"
        )
    assert run("replay", "--check").exit_code == 0
    with closing(sqlite3.connect(instance / "shop.db")) as raw, raw:
        raw.execute("INSERT INTO tally VALUES (7,0,'done',1,1,1,1,0,0,NULL,NULL,0,'','')")
    result = run("replay", "--check")
    assert result.exit_code == 1
    assert "Stage 7 has a row that the log knows nothing of." in result.output


def test_a_setting_that_is_not_known_is_one_sentence(instance: Path) -> None:
    instance.mkdir()
    (instance / "config.toml").write_text("colour = 1\n")
    result = run("serve")
    assert (result.exit_code, result.stderr) == (1, "config.toml has a setting that is not known: colour.\n")


def test_a_busy_port_is_one_sentence(instance: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        result = run("serve", "--no-browser", "--port", str(taken.getsockname()[1]))
    assert (result.exit_code, result.stderr.count("\n")) == (1, 1)
    assert "choose another with --port" in result.stderr
    assert not (instance / "shop.db").exists()


@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_serve_makes_what_is_missing_answers_and_stops_cleanly(
    instance: Path, number: signal.Signals
) -> None:
    """From nothing to a page; meanwhile a second serve, a migrate and a restore are told off."""
    with served("--port", "0") as (process, address):
        with urllib.request.urlopen(address) as answer:
            assert answer.status == 200
        for words in (["serve", "--port", "0"], ["migrate"], ["restore", "some.zip"]):
            other = subprocess.run([*PROGRAM, *words], cwd=ROOT, capture_output=True, text=True)
            assert other.returncode == 1
            assert other.stderr == (
                f"shoptrack serve (process {process.pid}) is using this shop's database; stop it first.\n"
            )
        process.send_signal(number)
        assert process.wait(30) == 0
        assert process.stdout is not None
        assert process.stdout.read() == "Stopping.\n"
    assert not (instance / "shop.db-wal").exists()
    with closing(sqlite3.connect(instance / "shop.db")) as raw:
        assert raw.execute("SELECT name FROM shop").fetchall() == []  # the guided start makes it


def test_serve_by_https_says_nothing_of_tablets_while_alone(instance: Path) -> None:
    """The shop's own certificate is made, and the pages are there by it."""
    with served("--port", "0", "--https") as (process, address):
        with urllib.request.urlopen(address) as answer:
            assert answer.status == 200
        assert (instance / "certificates" / "shop-ca.crt").exists()
        process.send_signal(signal.SIGTERM)
        assert process.wait(30) == 0
        assert process.stdout is not None
        assert process.stdout.read() == "Stopping.\n"


def test_tablets_are_told_where_to_go_and_lost_ones_are_named(
    instance: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    run("migrate")
    config = replace(load(instance), host="0.0.0.0")
    store = open_store(config.database_url, config.instance)
    now = datetime(2026, 11, 25, 18, 24, tzinfo=UTC)
    with store.writing() as session:
        for name, at in (("here", "http://192.168.1.7:8750"), ("lost", "http://192.168.1.3:8750")):
            devices.offer(session, name, name, "bench", now)
            devices.pair(session, name, name, at, now)
    monkeypatch.setattr(cli, "look", lambda: Reach(("192.168.1.7",), ("shop.local",)))
    said = list(cli._for_tablets(config, store))
    assert said[0] == "For tablets: http://192.168.1.7:8750 or http://shop.local:8750"
    assert [line.partition(" was paired")[0] for line in said[1:]] == ["lost"]
    assert list(cli._for_tablets(load(instance), store)) == []
    monkeypatch.setattr(cli, "look", Reach)
    assert next(cli._for_tablets(config, store)) == "This machine is on no network now."
    store.close()


def test_a_forgotten_pin_is_taken_away(instance: Path) -> None:
    run("migrate")
    with closing(sqlite3.connect(instance / "shop.db")) as raw, raw:
        raw.execute("INSERT INTO people (id, name, position) VALUES (1, 'Una', 1)")
        raw.execute("INSERT INTO pins VALUES (1, '00', 'ff', '2026-11-25 18:24:00', 9, NULL)")
    assert run("forget-pin", "Piet").stderr == "Nobody called Piet works here.\n"
    done = run("forget-pin", "una")
    assert (done.exit_code, done.output) == (0, "una has no PIN any more.\n")
    with closing(sqlite3.connect(instance / "shop.db")) as raw:
        assert raw.execute("SELECT count(*) FROM pins").fetchone() == (0,)
    assert run("forget-pin", "Una").exit_code == 1


def test_a_killed_server_starts_again(instance: Path) -> None:
    with served("--port", "0") as (process, _):
        process.kill()
        process.wait(30)
    with served("--port", "0") as (_, address), urllib.request.urlopen(address) as answer:
        assert answer.status == 200


def test_backup_and_inspect_work_beside_a_running_server(instance: Path) -> None:
    with served("--port", "0"):
        assert run("backup").exit_code == 0
        looked = run("inspect")
        assert (looked.exit_code, "last backup: 2" in looked.output) == (0, True)


def test_the_browser_opens_only_where_there_is_a_screen(monkeypatch: pytest.MonkeyPatch) -> None:
    opened: list[str] = []
    monkeypatch.setattr(cli.webbrowser, "open", opened.append)
    monkeypatch.setattr(cli.sys, "platform", "linux")
    for name in ("DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    assert cli._open_browser("http://127.0.0.1:1/") is None
    monkeypatch.setenv("DISPLAY", ":0")
    opening = cli._open_browser("http://127.0.0.1:1/")
    assert opening is not None
    opening.join(10)
    assert opened == ["http://127.0.0.1:1/"]


def test_the_wheel_brings_its_migrations_into_a_bare_environment(tmp_path: Path) -> None:
    """Built without the network, installed beside nothing but the libraries, run far from the checkout."""
    source, wheels, bare = tmp_path / "source", tmp_path / "wheels", tmp_path / "bare"
    left_out = shutil.ignore_patterns(".*", "instance", "__pycache__", "tests")
    shutil.copytree(ROOT, source, ignore=left_out)
    pip = [sys.executable, "-m", "pip", "--quiet", "--disable-pip-version-check"]
    build = [
        "wheel",
        "--no-deps",
        "--no-build-isolation",
        "--no-index",
        "--wheel-dir",
        str(wheels),
        str(source),
    ]
    subprocess.run([*pip, *build], check=True)
    (wheel,) = wheels.glob("*.whl")
    venv.create(bare, with_pip=False)
    bin_folder = bare / ("Scripts" if os.name == "nt" else "bin")
    python = str(bin_folder / "python")
    subprocess.run([*pip, "--python", python, "install", "--no-deps", "--no-index", str(wheel)], check=True)
    where = [python, "-c", "import sysconfig; print(sysconfig.get_path('purelib'))"]
    libraries = subprocess.run(
        [sys.executable, *where[1:]], capture_output=True, text=True, check=True
    ).stdout
    own = Path(subprocess.run(where, capture_output=True, text=True, check=True).stdout.strip())
    (own / "libraries.pth").write_text(libraries)
    env = {**os.environ, "SHOPTRACK_INSTANCE": str(tmp_path / "instance")}
    env.pop("SHOPTRACK_DATABASE_URL", None)
    for words in (["migrate"], ["inspect"]):
        done = subprocess.run(
            [str(bin_folder / "shoptrack"), *words], cwd=tmp_path, env=env, capture_output=True, text=True
        )
        assert done.returncode == 0, done.stdout + done.stderr
    assert (tmp_path / "instance" / "shop.db").exists()
    assert (own / "shoptrack" / "migrations" / "env.py").exists()
