"""The server killed again and again while two tablets write: nothing acknowledged lost, nothing doubled."""

import argparse
import json
import sqlite3
import threading
import time
from contextlib import closing
from dataclasses import dataclass, field
from datetime import UTC, datetime
from http.client import HTTPConnection, HTTPException
from itertools import count
from pathlib import Path
from random import Random
from secrets import token_hex
from tempfile import TemporaryDirectory

from shoptrack.store.db import reading_only
from shoptrack.store.inspection import replay_check
from tests.bench.served import free_port, start
from tests.bench.ten_years import build

GIVE_UP_S = 90.0


@dataclass
class Writer:
    """A tablet that makes taps as fast as the server takes them, and keeps each until it is acknowledged."""

    port: int
    person: int
    stages: list[int]
    rng: Random
    stop: threading.Event
    device: str = field(default_factory=lambda: f"kill-{token_hex(4)}")
    made: list[str] = field(default_factory=list)
    acknowledged: list[str] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)
    unanswered: int = 0
    seq: "count[int]" = field(default_factory=lambda: count(1))

    def write(self) -> None:
        """Post batch after batch until told to stop; the last one is seen through."""
        while not self.stop.is_set():
            batch = [self._entry() for _ in range(self.rng.randint(1, 4))]
            since = time.monotonic()
            while not self._post(batch):
                if time.monotonic() - since > GIVE_UP_S:
                    return
                time.sleep(0.05)

    def _entry(self) -> dict[str, object]:
        seq = next(self.seq)
        self.made.append(id := token_hex(16))
        kind = ("start", "pause")[seq % 2]
        stage = self.stages[seq // 6 % len(self.stages)]
        now = datetime.now(UTC).isoformat()  # noqa: TID251 # the tablet's clock
        return {"id": id, "seq": seq, "kind": kind, "at": now, "person": self.person, "stages": [stage]}

    def _post(self, batch: list[dict[str, object]]) -> bool:
        now = datetime.now(UTC).isoformat()  # noqa: TID251 # the tablet's clock
        body = json.dumps({"device": self.device, "sent_at": now, "entries": batch})
        origin = f"http://127.0.0.1:{self.port}"
        headers = {"Content-Type": "application/json", "Origin": origin}
        try:
            with closing(HTTPConnection("127.0.0.1", self.port, timeout=30)) as line:
                line.request("POST", "/api/entries", body, headers)
                response = line.getresponse()
                answers = json.loads(response.read())["answers"] if response.status == 200 else None
        except ConnectionRefusedError:
            return False  # it is being started again
        except (OSError, HTTPException):
            self.unanswered += 1
            return False
        for answer in answers or ():
            (self.acknowledged if answer["status"] == "done" else self.refused).append(answer["id"])
        return answers is not None


def stored(file: Path, device: str) -> list[str]:
    """The ids of a tablet's entries in the order in which they were written, read beside the server."""
    with closing(sqlite3.connect(f"{file.as_uri()}?mode=ro", uri=True)) as raw:
        rows = raw.execute("SELECT id FROM entries WHERE device = ? ORDER BY n", (device,))
        return [str(row[0]) for row in rows]


@dataclass
class Found:
    """What was wrong, counted over all kills."""

    lost: int = 0
    doubled: int = 0
    reordered: int = 0

    def look(self, file: Path, writers: list[Writer]) -> None:
        """Compare the file with what the tablets were told."""
        for writer in writers:
            told = list(writer.acknowledged)  # first: what comes in meanwhile may not be in the file yet
            there = stored(file, writer.device)
            self.lost += len(set(told) - set(there))
            self.doubled += len(there) - len(set(there))
            place = {id: n for n, id in enumerate(writer.made)}
            self.reordered += there != sorted(there, key=lambda id: place[id])


def run(instance: Path, kills: int, rng: Random) -> tuple[Found, list[Writer]]:
    """Kill the server so many times at random moments, and look into the file each time."""
    file, port, stop = instance / "shop.db", free_port(), threading.Event()
    ready = _stages(file)
    half = len(ready) // 2
    writers = [
        Writer(port, person, stages, Random(rng.random()), stop)
        for person, stages in ((1, ready[:half]), (2, ready[half:]))
    ]
    threads = [threading.Thread(target=w.write, daemon=True) for w in writers]
    found, process = Found(), start(instance, port)
    try:
        for thread in threads:
            thread.start()
        for _ in range(kills):
            _let_write(writers)
            time.sleep(rng.uniform(0.0, 0.3))
            process.kill()
            process.wait()
            found.look(file, writers)
            process = start(instance, port)
            found.look(file, writers)
        stop.set()
        for thread in threads:
            thread.join(GIVE_UP_S)
    finally:
        stop.set()
        process.terminate()
        process.wait()
    found.look(file, writers)
    return found, writers


def _let_write(writers: list[Writer]) -> None:
    """Wait until each tablet had some taps acknowledged since the server is back, or for a while."""
    before = [len(w.acknowledged) for w in writers]
    until = time.monotonic() + GIVE_UP_S
    while any(len(w.acknowledged) < n + 3 for w, n in zip(writers, before, strict=True)):
        if time.monotonic() > until:
            return
        time.sleep(0.01)


def _stages(file: Path) -> list[int]:
    """The first stage of each of some open jobs."""
    with closing(sqlite3.connect(f"{file.as_uri()}?mode=ro", uri=True)) as raw:
        rows = raw.execute(
            "SELECT min(s.id) FROM stages s JOIN jobs j ON j.id = s.job_id WHERE j.closed_at IS NULL "
            "GROUP BY s.job_id ORDER BY 1 DESC LIMIT 20"
        )
        return [int(row[0]) for row in rows]


def main() -> None:
    asked = argparse.ArgumentParser(prog="python -m tests.bench.kills", description=__doc__)
    asked.add_argument("--kills", type=int, default=20)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--scale", type=float, default=0.02, help="1 is ten years of log")
    said = asked.parse_args()
    now = datetime.now(UTC)  # noqa: TID251 # a command: here the clock is read
    with TemporaryDirectory() as folder:
        file = Path(folder) / "shop.db"
        build(file, now, said.seed, said.scale)
        found, writers = run(Path(folder), said.kills, Random(said.seed))
        with reading_only(file) as session:
            different = replay_check(session, datetime.now(UTC))  # noqa: TID251 # as above
    made, told = sum(len(w.made) for w in writers), sum(len(w.acknowledged) for w in writers)
    cut, refused = sum(w.unanswered for w in writers), sum(len(w.refused) for w in writers)
    print(f"{said.kills} kills, {made:,} taps made, {told:,} acknowledged, {refused} set aside")
    print(f"{cut} requests cut off in the middle and sent again")
    print(f"lost {found.lost}, doubled {found.doubled}, reordered {found.reordered}")
    print(f"the tally differs from the log in {len(different)} places")
    for sentence in different[:5]:
        print(sentence)
    whole = made == told and not refused and not different
    raise SystemExit(0 if whole and found == Found() else 1)


if __name__ == "__main__":
    main()
