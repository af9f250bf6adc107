"""Everything out into a file and back into an empty instance, by hand."""

import json
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from shoptrack.cli import main
from shoptrack.store.lock import hold
from tests.joinery import kept
from tests.test_cli import served


@pytest.fixture
def at(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], Path]:
    """Work from now on in the instance of this name."""
    monkeypatch.delenv("SHOPTRACK_DATABASE_URL", raising=False)

    def turn_to(name: str) -> Path:
        monkeypatch.setenv("SHOPTRACK_INSTANCE", str(tmp_path / name))
        (tmp_path / name).mkdir(exist_ok=True)
        return tmp_path / name

    return turn_to


def run(*words: str) -> Result:
    return CliRunner().invoke(main, words)


def tapped(instance: Path) -> list[tuple[object, ...]]:
    with closing(sqlite3.connect(instance / "shop.db")) as raw:
        return raw.execute("SELECT * FROM entries ORDER BY n").fetchall()


def make_old(instance: Path) -> None:
    """The busy day in an instance, with tables as the migrations leave them."""
    run("migrate")
    with closing(sqlite3.connect(instance / "shop.db")) as raw:
        version = raw.execute("SELECT * FROM alembic_version").fetchone()[0]
    kept("busy").put(instance).close()
    with closing(sqlite3.connect(instance / "shop.db")) as raw, raw:
        raw.execute("CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL)")
        raw.execute("INSERT INTO alembic_version VALUES (?)", (version,))


def test_out_of_one_instance_and_into_another(at: Callable[[str], Path], tmp_path: Path) -> None:
    old = at("old")
    make_old(old)
    for name in ("all.zip", "all.json"):
        made = run("export", str(tmp_path / name))
        assert (made.exit_code, made.output) == (0, f"Everything is in {tmp_path / name}\n")
        new = at(f"new {name}")
        brought = run("import", str(tmp_path / name))
        assert (brought.exit_code, "Brought in" in brought.output) == (0, True), brought.output
        assert tapped(new) == tapped(old) != []
        assert run("replay", "--check").exit_code == 0
        at("old")


def test_what_is_refused_is_one_sentence(at: Callable[[str], Path], tmp_path: Path) -> None:
    old = at("old")
    nothing = run("export", str(tmp_path / "all.zip"))
    assert (nothing.exit_code, "run: shoptrack migrate" in nothing.stderr) == (1, True)
    make_old(old)
    run("export", "--photos", str(tmp_path / "all.zip"))
    at("new")
    (tmp_path / "bad.json").write_text(json.dumps({"shoptrack": 1}))
    for words, said in (
        (["import", "nothing.zip"], "There is no file nothing.zip"),
        (["import", str(tmp_path / "bad.json")], "not a file that shoptrack took out"),
        (["import", str(tmp_path)], "There is no file"),
    ):
        refused = run(*words)
        assert (refused.exit_code, refused.stderr.count("\n")) == (1, 1)
        assert said in refused.stderr
    at("old")
    for words, said in (
        (["import", str(tmp_path / "all.zip")], "There is a shop in this database already"),
        (["export", str(tmp_path / "all.zip")], "is there already"),
    ):
        refused = run(*words)
        assert (refused.exit_code, said in refused.stderr) == (1, True)


def test_out_while_the_shop_is_served_but_not_in(at: Callable[[str], Path], tmp_path: Path) -> None:
    at("served")
    with served("--port", "0"):
        assert run("export", str(tmp_path / "all.json")).exit_code == 0
    assert json.loads((tmp_path / "all.json").read_text())["shoptrack"] == 1
    new = at("held")
    with hold(new / "shop.db", "serve"):
        refused = run("import", str(tmp_path / "all.json"))
    assert (refused.exit_code, "stop it first" in refused.stderr) == (1, True)
