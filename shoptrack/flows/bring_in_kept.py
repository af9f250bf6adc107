"""A file that was handed in → kept under its own fingerprint until it is brought in, or a day is over."""

import hashlib
import os
import re
from datetime import datetime, timedelta
from pathlib import Path

from shoptrack.errors import NotFound

FOLDER = "incoming"
KEPT_FOR = timedelta(days=1)
KEPT_FILES = 20
_SIGN = re.compile(r"[0-9a-f]{64}")
GONE = "That file is not here any more: it was brought in already, or it lay here for more than a day."


def keep(instance: Path, data: bytes, now: datetime) -> str:
    """Keep a file in the instance folder, sweep the old ones, and give the sign it is found by."""
    folder = instance / FOLDER
    folder.mkdir(parents=True, exist_ok=True)
    sign = hashlib.sha256(data).hexdigest()
    part = folder / f".{sign}.{os.getpid()}"
    part.write_bytes(data)
    os.utime(part, (now.timestamp(), now.timestamp()))
    os.replace(part, folder / f"{sign}.csv")
    sweep(instance, now)
    return sign


def read(instance: Path, sign: str) -> bytes:
    """A kept file. Raises NotFound for one that is not there any more, or never was."""
    if not _SIGN.fullmatch(sign):
        raise NotFound(GONE)
    try:
        return (instance / FOLDER / f"{sign}.csv").read_bytes()
    except FileNotFoundError as problem:
        raise NotFound(GONE) from problem


def drop(instance: Path, sign: str) -> None:
    """Let go of a file that was brought in."""
    if _SIGN.fullmatch(sign):
        (instance / FOLDER / f"{sign}.csv").unlink(missing_ok=True)


def sweep(instance: Path, now: datetime) -> None:
    """Drop files that lay here for more than a day, and the oldest of more than twenty."""
    files = [(file.stat().st_mtime, file) for file in (instance / FOLDER).glob("*") if file.is_file()]
    files.sort(reverse=True)
    oldest = (now - KEPT_FOR).timestamp()
    for place, (at, file) in enumerate(files):
        if at < oldest or place >= KEPT_FILES:
            file.unlink(missing_ok=True)
