"""The instance folder and its config.toml: host, port and folders, nothing else."""

import ipaddress
import os
import tomllib
from dataclasses import dataclass
from pathlib import Path

from shoptrack.errors import BadInput

DEFAULT_HOST = "127.0.0.1"
DEFAULT_PORT = 8750


@dataclass(frozen=True)
class Config:
    """Where this instance lives and listens.

    ``database_url`` is the address given by SHOPTRACK_DATABASE_URL or the instance's own file; ``https_port``
    is where serve answers with the shop's own certificate, None where it does not.
    """

    instance: Path
    database_url: str
    host: str = DEFAULT_HOST
    port: int = DEFAULT_PORT
    second_backup_folder: Path | None = None
    https_port: int | None = None

    @property
    def lan(self) -> bool:
        """Whether others than this machine can reach the server: then each device has to be paired."""
        return not is_loopback(self.host)

    @property
    def backups(self) -> Path:
        """The folder that backups go to."""
        return self.instance / "backups"

    @property
    def secret_key_file(self) -> Path:
        """The file that holds the key cookies are signed with."""
        return self.instance / "secret_key"


def load(instance: Path | None = None, demo: bool = False) -> Config:
    """The configuration of an instance: its folder's config.toml over the defaults.

    Takes the folder (else SHOPTRACK_INSTANCE, else ./instance) and whether the demo's own database,
    kept in a folder of its own inside the instance, is meant. Raises BadInput where config.toml
    can't be read. The demo never follows SHOPTRACK_DATABASE_URL.
    """
    folder = (instance or Path(os.environ.get("SHOPTRACK_INSTANCE", "instance"))).resolve()
    settings = _read(folder / "config.toml")
    home = folder / "demo" if demo else folder
    own = f"sqlite:///{home / 'shop.db'}"
    url = own if demo else os.environ.get("SHOPTRACK_DATABASE_URL", own)
    second = settings.get("second_backup_folder")
    return Config(
        instance=home,
        database_url=url,
        host=str(settings.get("host", DEFAULT_HOST)),
        port=_port(settings.get("port", DEFAULT_PORT)),
        second_backup_folder=Path(str(second)) if second else None,
    )


def is_loopback(host: str) -> bool:
    """Whether an address, with or without brackets, or a name of one, is this machine's alone."""
    plain = host.strip("[]").lower()
    try:
        address = ipaddress.ip_address(plain)
    except ValueError:
        return plain == "localhost"
    mapped = address.ipv4_mapped if isinstance(address, ipaddress.IPv6Address) else None
    return (mapped or address).is_loopback


def _read(file: Path) -> dict[str, object]:
    if not file.exists():
        return {}
    try:
        settings = tomllib.loads(file.read_text(encoding="utf-8"))
    except (OSError, ValueError) as problem:
        raise BadInput(f"{file.name} can't be read: {problem}.") from problem
    unknown = set(settings) - {"host", "port", "second_backup_folder"}
    if unknown:
        raise BadInput(f"{file.name} has a setting that is not known: {sorted(unknown)[0]}.")
    return settings


def _port(value: object) -> int:
    if isinstance(value, int) and not isinstance(value, bool) and 0 <= value <= 65535:
        return value
    raise BadInput("port in config.toml is not a number from 0 to 65535.", "port")
