"""A tap, then Floor, Bench and Plan over HTTP, alone and beside the search for a plan: p50 and p95."""

import argparse
import json
import os
import shutil
import signal
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.bench.floor import Answer, Client, percentile, show, taps
from tests.bench.served import free_port, start
from tests.bench.ten_years import build

SCALE = 0.1
PATIENCE_S = 120.0
BUSY_S = 0.3
"""A worker is at it once it has had so many seconds of the processor, and gets more."""
AT_ONCE_S = 15.0
"""So long a plan is measured beside before it is seen to that the worker is still at it."""

Found = dict[str, list[Answer]]


@dataclass(frozen=True, slots=True)
class Worker:
    """The process beside the server: processor seconds so far and the most memory it has held."""

    pid: int
    busy_s: float
    peak_mb: float


def worker_of(server: int) -> Worker | None:
    """The worker of a server, from the system's tables; None while there is none."""
    for each in Path(f"/proc/{server}/task").glob("*/children"):
        for pid in map(int, each.read_text().split()):
            try:
                ticks = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[11:13]
                lines = Path(f"/proc/{pid}/status").read_text().splitlines()
            except OSError:
                continue
            peak_kb = next((int(line.split()[1]) for line in lines if line.startswith("VmHWM")), 0)
            return Worker(pid, sum(map(int, ticks)) / os.sysconf("SC_CLK_TCK"), peak_kb / 1024)
    return None


def spent_ms(server: int) -> float:
    """Processor milliseconds of all threads of the server so far."""
    found = 0
    for each in Path(f"/proc/{server}/task").iterdir():
        with suppress(OSError):  # a thread that ended meanwhile
            found += int((each / "schedstat").read_text().split()[0])
    return found / 1e6


def wait_until_busy(server: int) -> None:
    """Let the taps pause until the worker looks for a plan. Raises RuntimeError when it never does."""
    until = time.monotonic() + PATIENCE_S
    first = last = worker_of(server)
    while time.monotonic() < until:
        time.sleep(0.5)
        now = worker_of(server)
        if now is None or first is None or now.pid != first.pid:
            first = now
        elif last is not None and now.busy_s > last.busy_s and now.busy_s - first.busy_s > BUSY_S:
            return
        last = now
    raise RuntimeError("No plan was looked for.")


@dataclass(slots=True)
class Round:
    """Every page once, each after a tap of its own, so that each has a plan to make."""

    client: Client
    server: int
    answers: Found = field(default_factory=dict)
    spent: dict[str, list[float]] = field(default_factory=dict)

    def ask(self, name: str, do: Callable[[], Answer]) -> Answer:
        """One request, with what the server spent on it."""
        before = spent_ms(self.server)
        answer = do()
        self.answers.setdefault(name, []).append(answer)
        self.spent.setdefault(name, []).append(spent_ms(self.server) - before)
        return answer

    def look(self, name: str, path: str, known: str = "") -> Answer:
        """A page, where it is another than that with a validator."""
        return self.ask(name, lambda: self.client.ask("GET", path, None, **{"If-None-Match": known}))

    def go(self, tap: Callable[[], Answer], person: int) -> None:
        """One round."""
        self.look("bare page", "/bare")
        for name, path in (("Floor", "/"), ("Bench", f"/bench/{person}"), ("Plan", "/plan")):
            tapped = self.ask("tap", tap)
            page = self.look(name, path)
            both = replace(page, took_ms=tapped.took_ms + page.took_ms)
            self.answers.setdefault(f"tap and {name}", []).append(both)
            again = self.look(f"{name} read again", path)
            if name == "Floor":
                self.look("Floor unchanged (304)", path, again.etag)


def measure(port: int, server: int, times: int, beside: bool) -> Round:
    """So many rounds; ``beside``: each while the worker looks for a plan."""
    client = Client(port)
    person = json.loads(client.ask("GET", "/api/floor").text)["people"][0]["id"]
    line = taps(client)
    for _ in range(3):
        Round(client, server).go(lambda: next(line)(), person)
    found, until = Round(client, server), 0.0
    for _ in range(times):
        if beside and time.monotonic() > until:
            next(line)()
            wait_until_busy(server)
            until = time.monotonic() + AT_ONCE_S
        found.go(lambda: next(line)(), person)
    show(found.answers)
    for name, spent in found.spent.items():
        p50, p95 = percentile(spent, 0.5), percentile(spent, 0.95)
        print(f"{name:24}{p50:8.1f}{p95:8.1f} ms of the server’s processor")
    return found


@contextmanager
def serving(database: Path, module: str) -> Iterator[tuple[int, int]]:
    """The port and the process of a server with a copy of a shop."""
    with TemporaryDirectory() as folder:
        shutil.copy(database, Path(folder) / "shop.db")
        port = free_port()
        process = start(Path(folder), port, module)
        try:
            yield port, process.pid
        finally:
            process.send_signal(signal.SIGTERM)
            process.wait()


def run(database: Path, times: int) -> None:
    """Both servers, one after the other."""
    with serving(database, "tests.bench.planning.alone") as (port, server):
        print("No plan is looked for:")
        alone = measure(port, server, times, beside=False)
    with serving(database, "tests.bench.served") as (port, server):
        print("While a better plan is looked for:")
        beside = measure(port, server, times, beside=True)
        worker = worker_of(server)
    for share in (0.5, 0.95):
        was, now = (percentile([a.took_ms for a in found.answers["tap"]], share) for found in (alone, beside))
        print(f"tap, p{share * 100:.0f}: {was:.1f} ms alone, {now:.1f} ms beside it, × {now / was:.2f}")
    if worker is not None:
        print(f"the worker: {worker.peak_mb:.0f} MB at most, {worker.busy_s:.0f} s of the processor")


def main() -> None:
    asked = argparse.ArgumentParser(prog="python -m tests.bench.planning.latency", description=__doc__)
    asked.add_argument("file", type=Path, nargs="?", help="a database made by tests.bench.ten_years")
    asked.add_argument("--scale", type=float, default=SCALE, help="else one is made; 0.1: of a year")
    asked.add_argument("--times", type=int, default=60, help="rounds; in each every page once")
    said = asked.parse_args()
    with TemporaryDirectory() as folder:
        file = said.file or Path(folder) / "made.db"
        if said.file is None:
            build(file, datetime.now(UTC), scale=said.scale)  # noqa: TID251 # it ends now
        run(file, said.times)


if __name__ == "__main__":
    main()
