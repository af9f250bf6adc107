"""The instance folder, its config.toml and the environment: what is taken, and what is refused."""

from pathlib import Path

import pytest

from shoptrack.config import load
from shoptrack.errors import BadInput


@pytest.fixture(autouse=True)
def bare_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("SHOPTRACK_INSTANCE", raising=False)
    monkeypatch.delenv("SHOPTRACK_DATABASE_URL", raising=False)


def write(folder: Path, text: str) -> Path:
    (folder / "config.toml").write_text(text, encoding="utf-8")
    return folder


def test_without_settings_it_listens_on_this_machine_alone(tmp_path: Path) -> None:
    config = load(tmp_path)
    assert (config.host, config.port, config.second_backup_folder) == ("127.0.0.1", 8750, None)
    assert config.database_url == f"sqlite:///{tmp_path / 'shop.db'}"
    assert config.backups == tmp_path / "backups"
    assert config.secret_key_file == tmp_path / "secret_key"


def test_settings_are_taken(tmp_path: Path) -> None:
    write(tmp_path, 'host = "127.0.0.2"\nport = 9000\nsecond_backup_folder = "/mnt/stick"\n')
    config = load(tmp_path)
    assert (config.host, config.port) == ("127.0.0.2", 9000)
    assert config.second_backup_folder == Path("/mnt/stick")


def test_the_environment_names_the_folder_and_the_database(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SHOPTRACK_INSTANCE", str(tmp_path))
    monkeypatch.setenv("SHOPTRACK_DATABASE_URL", "sqlite:////home/ann/shop.db")
    config = load()
    assert config.instance == tmp_path.resolve()
    assert config.database_url == "sqlite:////home/ann/shop.db"


def test_the_demo_keeps_to_a_folder_and_a_database_of_its_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever database the environment names, the demo never touches it; its settings are the shop's."""
    monkeypatch.setenv("SHOPTRACK_DATABASE_URL", "sqlite:////home/ann/shop.db")
    write(tmp_path, "port = 9000\n")
    config = load(tmp_path, demo=True)
    assert config.instance == tmp_path / "demo"
    assert config.database_url == f"sqlite:///{tmp_path / 'demo' / 'shop.db'}"
    assert config.port == 9000


@pytest.mark.parametrize("port", ['"8750"', "65536", "-1", "true", "87.5"])
def test_a_port_is_a_number_from_0_to_65535(tmp_path: Path, port: str) -> None:
    with pytest.raises(BadInput, match="port in config") as refused:
        load(write(tmp_path, f"port = {port}\n"))
    assert refused.value.field == "port"


@pytest.mark.parametrize(
    ("text", "words"),
    [("port = \n", "can't be read"), ("colour = 1\nport = 1\n", "not known: colour")],
    ids=["not TOML", "unknown setting"],
)
def test_what_can_not_be_meant_is_refused(tmp_path: Path, text: str, words: str) -> None:
    with pytest.raises(BadInput, match=words):
        load(write(tmp_path, text))
