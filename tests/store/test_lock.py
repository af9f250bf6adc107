"""Turns for writers, one program for a database, and drives that can't be trusted."""

import subprocess
import sys
import threading
from pathlib import Path

import pytest

from shoptrack.errors import Refused
from shoptrack.store.lock import Turns, drive_kind, hold, is_held_here, refuse_network_drive, turns_for

ROOT = Path(__file__).parents[2]
MOUNTS = """\
21 1 8:1 / / rw,relatime - ext4 /dev/sda1 rw
30 21 0:40 / /home/ann/shared rw - nfs4 server:/x rw
31 30 8:2 / /home/ann/shared/local rw shared:3 - xfs /dev/sdb1 rw
32 21 0:41 / /mnt/big\\040disk rw - cifs //server/y rw
"""


def test_writers_are_served_in_the_order_they_came() -> None:
    turns, served = Turns(), list[int]()
    threads = []

    def write(name: int) -> None:
        with turns:
            served.append(name)

    with turns:
        for name in range(5):
            thread = threading.Thread(target=write, args=(name,))
            thread.start()
            threads.append(thread)
            while len(turns._waiting) <= name:
                thread.join(0.001)
    for thread in threads:
        thread.join()
    assert served == [0, 1, 2, 3, 4]


def test_two_stores_of_one_file_share_one_line(tmp_path: Path) -> None:
    assert turns_for(tmp_path / "a.db") is turns_for(tmp_path / "a.db")
    assert turns_for(tmp_path / "a.db") is not turns_for(tmp_path / "b.db")


def test_a_database_is_held_by_one_at_a_time(tmp_path: Path) -> None:
    database = tmp_path / "shop.db"
    with hold(database, "serve"):
        assert is_held_here(database)
        with (
            pytest.raises(Refused, match=r"shoptrack serve \(process \d+\) is using"),
            hold(database, "restore"),
        ):
            pass
        assert is_held_here(database)
    assert not is_held_here(database)
    with hold(database, "restore"):
        pass


def test_another_process_is_told_off_in_one_sentence(tmp_path: Path) -> None:
    database = tmp_path / "shop.db"
    program = (
        "import sys; from pathlib import Path; from shoptrack.store.lock import hold\n"
        "from shoptrack.errors import Refused\n"
        "try:\n  with hold(Path(sys.argv[1]), 'serve'): print('held')\n"
        "except Refused as problem: print(problem)\n"
    )

    def other() -> str:
        run = [sys.executable, "-c", program, str(database)]
        return subprocess.run(run, cwd=ROOT, capture_output=True, text=True, check=True).stdout.strip()

    with hold(database, "migrate"):
        assert other().endswith("is using this shop's database; stop it first.")
    assert other() == "held"


@pytest.mark.parametrize(
    ("folder", "kind"),
    [
        ("/home/ann/shop", "ext4"),
        ("/home/ann/shared", "nfs4"),
        ("/home/ann/shared/shop", "nfs4"),
        ("/home/ann/shared/local/shop", "xfs"),
        ("/home/ann/sharedish", "ext4"),
        ("/mnt/big disk/shop", "cifs"),
    ],
)
def test_the_drive_is_that_of_the_nearest_mount(folder: str, kind: str) -> None:
    """Format of the lines: proc(5), /proc/pid/mountinfo; a space in a name is written as octal 040."""
    assert drive_kind(Path(folder), MOUNTS) == kind


def test_a_network_drive_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    refuse_network_drive(tmp_path / "shop.db")
    monkeypatch.setattr("shoptrack.store.lock.drive_kind", lambda folder, mounts: "cifs")
    with pytest.raises(Refused, match="network drive"):
        refuse_network_drive(tmp_path / "shop.db")
