"""Floor, Bench, Jobs and a tap on ten years of log: p50 and p95 against a bare page of the same server."""

import argparse
import cProfile
import json
import pstats
import shutil
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from http.client import HTTPConnection
from itertools import count
from pathlib import Path
from secrets import token_hex
from tempfile import TemporaryDirectory
from time import perf_counter

from shoptrack.config import Config
from shoptrack.store.db import open_store
from shoptrack.web import create_app
from tests.bench.served import serving

TIMES = 100


@dataclass
class Client:
    """One kept-open connection to the server, as one tablet has."""

    port: int
    device: str = field(default_factory=lambda: f"meas-{token_hex(4)}")

    def __post_init__(self) -> None:
        self.line = HTTPConnection("127.0.0.1", self.port, timeout=60)
        self.seq = count(1)

    def ask(self, method: str, path: str, body: bytes | None = None, **headers: str) -> "Answer":
        """One request, timed until the last byte of the answer is here."""
        began = perf_counter()
        self.line.request(method, path, body, headers)
        response = self.line.getresponse()
        text = response.read()
        took_ms = (perf_counter() - began) * 1000
        queries = int(response.headers.get("X-Queries", "0"))
        return Answer(response.status, text, took_ms, queries, response.headers.get("ETag", ""))

    def tap(self, kind: str, **said: object) -> "Answer":
        """Post one tap."""
        now = datetime.now(UTC).isoformat()  # noqa: TID251 # the tablet's clock
        entry = {"id": token_hex(16), "seq": next(self.seq), "kind": kind, "at": now, **said}
        body = json.dumps({"device": self.device, "sent_at": now, "entries": [entry]}).encode()
        origin = f"http://127.0.0.1:{self.port}"
        headers = {"Content-Type": "application/json", "Origin": origin}
        return self.ask("POST", "/api/entries", body, **headers)


@dataclass(frozen=True)
class Answer:
    """What came back, and how long it took."""

    status: int
    text: bytes
    took_ms: float
    queries: int
    etag: str


def taps(client: Client) -> Iterator[Callable[[], Answer]]:
    """Taps without end, as two people make them: start, pause, the other one starts, pauses."""
    floor = json.loads(client.ask("GET", "/api/floor").text)
    ready = [s["id"] for s in floor["stages"] if s["state"] in ("ready", "set down")][:8]
    people = [p["id"] for p in floor["people"]][:2]
    for n in count():
        person, stage = people[n % 2], ready[n // 4 % len(ready)]
        kind = "start" if n % 4 < 2 else "pause"
        yield lambda p=person, s=stage, k=kind: client.tap(k, person=p, stages=[s])  # type: ignore[misc]


def percentile(values: list[float], share: float) -> float:
    """The value below which a share of them lies."""
    return sorted(values)[min(len(values) - 1, round(share * (len(values) - 1)))]


def measure(port: int, times: int) -> dict[str, list[Answer]]:
    """Every page by turns, a tap before each round so that nothing is answered from memory."""
    client = Client(port)
    jobs = json.loads(client.ask("GET", "/api/jobs").text)["jobs"]
    job = f"/jobs/{jobs[len(jobs) // 2]['id']}"
    pages = {"Floor": "/", "Bench, one person": "/bench/1", "Jobs": "/jobs", "one job": job}
    found: dict[str, list[Answer]] = {}
    tap_line = taps(client)
    for n in range(times + 5):
        answers = {"bare page": client.ask("GET", "/bare")}
        for name, path in pages.items():
            answers["tap"] = next(tap_line)()
            answers[name] = client.ask("GET", path)
        floor = client.ask("GET", "/")
        answers["Floor read again"] = floor
        answers["Floor unchanged (304)"] = client.ask("GET", "/", **{"If-None-Match": floor.etag})
        if n >= 5:
            for name, answer in answers.items():
                found.setdefault(name, []).append(answer)
    return found


def show(found: dict[str, list[Answer]]) -> None:
    """Print the table: milliseconds, and how many times a bare page they are."""
    bare = [a.took_ms for a in found["bare page"]]
    bare_50, bare_95 = percentile(bare, 0.5), percentile(bare, 0.95)
    print(f"{'':24}{'p50 ms':>8}{'p95 ms':>8}{'× bare':>8}{'× bare':>8}{'queries':>9}{'bytes':>9}  status")
    for name, answers in found.items():
        p50, p95 = (percentile([a.took_ms for a in answers], share) for share in (0.5, 0.95))
        queries, size = max(a.queries for a in answers), max(len(a.text) for a in answers)
        status = ",".join(sorted({str(a.status) for a in answers}))
        ratios = f"{p50 / bare_50:8.1f}{p95 / bare_95:8.1f}"
        print(f"{name:24}{p50:8.2f}{p95:8.2f}{ratios}{queries:9}{size:9,}  {status}")


# --- where the time goes -----------------------------------------------------------------------------


def profile(instance: Path, lines: int) -> None:
    """Print where the time goes in a tap and in a Floor drawn after it, in this process."""
    url = f"sqlite:///{instance / 'shop.db'}"
    store = open_store(url, instance)
    client = create_app(store, Config(instance=instance, database_url=url)).test_client()
    floor = client.get("/api/floor").json
    stage = next(s["id"] for s in floor["stages"] if s["state"] == "ready")
    person = floor["people"][0]["id"]
    device, seq = f"prof-{token_hex(4)}", count(1)

    def tap() -> None:
        n, now = next(seq), datetime.now(UTC).isoformat()  # noqa: TID251 # the tablet's clock
        kind = "start" if n % 2 else "pause"
        entry = {"id": token_hex(16), "seq": n, "kind": kind, "at": now, "person": person, "stages": [stage]}
        body = {"device": device, "sent_at": now, "entries": [entry]}
        answer = client.post("/api/entries", json=body, headers={"Origin": "http://localhost"})
        assert answer.json["answers"][0]["status"] == "done", answer.json

    def look() -> None:
        assert client.get("/").status_code == 200

    def job() -> None:
        assert client.get(f"/jobs/{floor['stages'][0]['job']}").status_code == 200

    watches = {"tap": (tap, cProfile.Profile()), "Floor": (look, cProfile.Profile())}
    watches["one job"] = (job, cProfile.Profile())
    for n in range(12):
        for do, watch in watches.values():
            if n < 2:
                do()
            else:
                watch.runcall(do)
    for name, (_, watch) in watches.items():
        print(f"=== {name}, ten times")
        pstats.Stats(watch, stream=sys.stdout).sort_stats("cumtime").print_stats(lines)
    store.close()


def main() -> None:
    asked = argparse.ArgumentParser(prog="python -m tests.bench.floor", description=__doc__)
    asked.add_argument("file", type=Path, help="a database made by tests.bench.ten_years; it is copied")
    asked.add_argument("--times", type=int, default=TIMES)
    asked.add_argument("--profile", type=int, metavar="LINES", help="show where the time goes instead")
    said = asked.parse_args()
    with TemporaryDirectory() as folder:
        shutil.copy(said.file, Path(folder) / "shop.db")
        if said.profile:
            profile(Path(folder), said.profile)
            return
        with serving(Path(folder)) as port:
            show(measure(port, said.times))


if __name__ == "__main__":
    main()
