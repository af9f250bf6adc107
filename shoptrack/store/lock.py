"""A database file becomes one process's own: turns for its writers, one running program, no network drive."""

import os
import sys
import threading
from collections import deque
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO

from shoptrack.errors import Refused

NETWORK_DRIVES = frozenset(
    {"nfs", "nfs4", "cifs", "smb3", "smbfs", "afs", "ncpfs", "davfs", "fuse.davfs", "fuse.sshfs"}
    | {"ceph", "fuse.ceph", "glusterfs", "fuse.glusterfs", "lustre", "fuse.rclone"}
)
_LOCKED_BYTE = 4096  # Windows hides a locked byte from readers, so it lies behind the text


class Turns:
    """A lock that serves threads in the order they came, so that no writer starves."""

    def __init__(self) -> None:
        self._guard = threading.Lock()
        self._waiting: deque[threading.Event] = deque()
        self._holder: int | None = None

    def __enter__(self) -> "Turns":
        me = threading.get_ident()
        with self._guard:
            if self._holder == me:
                raise RuntimeError("a write was begun inside a write")
            if self._holder is None:
                self._holder = me
                return self
            turn = threading.Event()
            self._waiting.append(turn)
        try:
            turn.wait()
        except BaseException:
            self._step_out(turn)
            raise
        self._holder = me
        return self

    def _step_out(self, turn: threading.Event) -> None:
        """Leave the line when the wait was interrupted, passing on a turn that came meanwhile."""
        with self._guard:
            if turn in self._waiting:
                self._waiting.remove(turn)
                return
        self.__exit__()

    def __exit__(self, *problem: object) -> None:
        with self._guard:
            if self._waiting:
                self._holder = -1  # promised to the first in line, who writes their own name in it
                self._waiting.popleft().set()
            else:
                self._holder = None


_turns: dict[Path, Turns] = {}
_turns_guard = threading.Lock()


def turns_for(database: Path) -> Turns:
    """The one line of writers that this process has for a database file."""
    with _turns_guard:
        return _turns.setdefault(database, Turns())


_held_here: set[Path] = set()


def is_held_here(database: Path) -> bool:
    """Whether this process holds the database for a serve, migrate or restore."""
    return _lock_file(database) in _held_here


@contextmanager
def hold(database: Path, purpose: str) -> Iterator[None]:
    """Keep a database to this process while ``purpose`` (serve, migrate, restore) runs.

    Raises Refused, with who holds it, when another process or an earlier call here does.
    """
    path = _lock_file(database)
    path.parent.mkdir(parents=True, exist_ok=True)
    with open(path, "a+", encoding="utf-8") as file:
        if path in _held_here or not _try_lock(file):
            raise Refused(f"{_holder(path)} is using this shop's database; stop it first.")
        _held_here.add(path)
        try:
            file.truncate(0)
            file.write(f"shoptrack {purpose} (process {os.getpid()})")
            file.flush()
            yield
        finally:
            file.truncate(0)
            _held_here.discard(path)
            _unlock(file)


def _lock_file(database: Path) -> Path:
    return database.resolve().with_name(database.name + ".lock")


def _holder(path: Path) -> str:
    with suppress(OSError):
        return path.read_text(encoding="utf-8").strip() or "Another shoptrack"
    return "Another shoptrack"


if sys.platform == "win32":
    import msvcrt

    def _try_lock(file: IO[str]) -> bool:
        file.seek(_LOCKED_BYTE)
        try:
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True

    def _unlock(file: IO[str]) -> None:
        file.seek(_LOCKED_BYTE)
        msvcrt.locking(file.fileno(), msvcrt.LK_UNLCK, 1)
else:
    import fcntl

    def _try_lock(file: IO[str]) -> bool:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return False
        return True

    def _unlock(file: IO[str]) -> None:
        fcntl.flock(file, fcntl.LOCK_UN)


def refuse_network_drive(database: Path) -> None:
    """Raise Refused when the file would lie on a network drive, where SQLite's locks can't be trusted."""
    folder = database.resolve().parent
    if _is_remote(folder):
        raise Refused(
            f"{folder} is on a network drive, where the database could be damaged; "
            "keep it on this machine's own disk."
        )


def _is_remote(folder: Path) -> bool:
    if sys.platform == "win32":
        import ctypes

        drive = folder.drive
        remote = 4  # DRIVE_REMOTE of the Windows call GetDriveType
        return drive.startswith("\\\\") or ctypes.windll.kernel32.GetDriveTypeW(drive + "\\") == remote
    try:
        mounts = Path("/proc/self/mountinfo").read_text(encoding="utf-8")
    except OSError:
        return False  # no list of mounts on this system: nothing to tell by
    return drive_kind(folder, mounts) in NETWORK_DRIVES


def drive_kind(folder: Path, mounts: str) -> str:
    """The kind of file system a folder lies on, by the text of Linux's /proc/self/mountinfo.

    Source: proc(5), mountinfo: the mount point is field 5 with octal escapes, the type follows " - ".
    """
    best, kind = -1, ""
    for line in mounts.splitlines():
        left, _, right = line.partition(" - ")
        point = left.split(" ")[4].encode("latin-1", "replace").decode("unicode_escape")
        if len(point) >= best and folder.is_relative_to(point):
            best, kind = len(point), right.split(" ")[0]
    return kind
