"""The server killed while the office writes: no half rows, no row without its file, it starts again."""

import argparse
import sqlite3
import threading
import time
from collections import Counter
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from http.client import HTTPConnection, HTTPException
from io import BytesIO
from pathlib import Path
from random import Random
from secrets import token_hex
from tempfile import TemporaryDirectory
from urllib.parse import urlencode

from PIL import Image

from shoptrack.store.db import open_store, reading_only
from shoptrack.store.inspection import replay_check
from shoptrack.store.migrate import migrate
from tests.bench.bring_in import write_file
from tests.bench.served import free_port, start
from tests.crawled import read
from tests.joinery import NOW, busy_day, make_joinery

ROWS = 10_000
STAGES = 5
FORM = "application/x-www-form-urlencoded"


@dataclass
class Desk:
    """A person in the office who fills in one form after another over http."""

    port: int
    cookie: str = ""

    def get(self, path: str) -> str:
        return self._ask("GET", path, b"", {})[2].decode()

    def post(self, path: str, fields: dict[str, str]) -> tuple[int, str]:
        status, to, _ = self._ask("POST", path, urlencode(fields).encode(), {"Content-Type": FORM})
        return status, to

    def send(self, path: str, name: str, file: bytes, **fields: str) -> tuple[int, str]:
        """A form with a file."""
        mark = token_hex(12)
        parts = [
            f'--{mark}\r\nContent-Disposition: form-data; name="{n}"\r\n\r\n{v}\r\n'
            for n, v in fields.items()
        ]
        head = f'--{mark}\r\nContent-Disposition: form-data; name="{name}"; filename="f"\r\n\r\n'
        body = "".join(parts).encode() + head.encode() + file + f"\r\n--{mark}--\r\n".encode()
        kind = {"Content-Type": f"multipart/form-data; boundary={mark}"}
        status, to, _ = self._ask("POST", path, body, kind)
        return status, to

    def enter(self) -> None:
        self.post("/office", {"person": "1"})

    def _ask(self, method: str, path: str, body: bytes, headers: dict[str, str]) -> tuple[int, str, bytes]:
        headers |= {"Origin": f"http://127.0.0.1:{self.port}", "Cookie": self.cookie}
        with closing(HTTPConnection("127.0.0.1", self.port, timeout=60)) as line:
            line.request(method, path, body, headers)
            answer = line.getresponse()
            text = answer.read()
        if answer.headers.get("Set-Cookie"):
            self.cookie = answer.headers["Set-Cookie"].partition(";")[0]
        return answer.status, answer.headers.get("Location", ""), text


def photo(desk: Desk, rng: Random, _: Path) -> None:
    """Photo after photo, each another."""
    for _n in range(4):
        picture = Image.effect_noise((1400, 1000), 20 + rng.random() * 60)
        out = BytesIO()
        picture.save(out, "JPEG")
        desk.send("/jobs/1/photos", "photo", out.getvalue(), words=f"{rng.random()}")


def table(desk: Desk, rng: Random, folder: Path) -> None:
    """Ten thousand past times that are not there yet."""
    write_file(folder / "times.csv", ROWS, rng.randint(0, 10**9))
    _, to = desk.send("/files/past-times", "file", (folder / "times.csv").read_bytes())
    desk.post(to, {"refused": "0"})


def restored(desk: Desk, _: Random, folder: Path) -> None:
    """The newest backup is put in the place of all."""
    names = sorted(file.name for file in (folder / "backups").glob("*.zip"))
    desk.post(f"/backups/{names[-1]}", {"sure": "yes"})


def month(desk: Desk, _: Random, __: Path) -> None:
    """One month after the other is closed."""
    for year, number in ((y, m) for y in (2025, 2026) for m in range(1, 13)):
        desk.post(f"/months/{year}-{number:02}/closed", {})


def revision(desk: Desk, rng: Random, _: Path) -> None:
    """The pattern gets revision after revision."""
    for _n in range(6):
        page = desk.get("/patterns/1/revise?open=1")
        form = next(f for f in read("/patterns/1/revise", page).forms if f.action.endswith("#open"))
        said = {**dict(form.fields), "name": f"milling {rng.random()}", "do": "save"}
        desk.post("/patterns/1/revise", said)


DEEDS: dict[str, Callable[[Desk, Random, Path], None]] = {
    "photo": photo,
    "past times": table,
    "restore": restored,
    "month": month,
    "revision": revision,
}

LONGEST_S = {"photo": 1.0, "past times": 3.0, "restore": 0.3, "month": 1.5, "revision": 0.8}
"""About how long each takes; it is killed somewhere within."""


def wrong_in(instance: Path) -> list[str]:
    """What is half there in the database and its folder."""
    with closing(sqlite3.connect(f"{(instance / 'shop.db').as_uri()}?mode=ro", uri=True)) as raw:

        def ask(sql: str) -> list[tuple[object, ...]]:
            return raw.execute(sql).fetchall()

        found = [f"integrity: {said[0]}" for said in ask("PRAGMA integrity_check") if said[0] != "ok"]
        found += [f"points nowhere: {line}" for line in ask("PRAGMA foreign_key_check")]
        found += [
            f"photo {n} has no {'small ' * small}file"
            for (n,) in ask("SELECT id FROM photos")
            for small in (False, True)
            if not _is_picture(instance / "photos" / ("small" if small else ".") / f"{n}.jpg")
        ]
        half = "SELECT imported_at, count(*) FROM past_times GROUP BY imported_at HAVING count(*) != ?"
        found += [f"half a table: {line}" for line in raw.execute(half, (ROWS,))]
        short = (
            "SELECT r.id, count(s.id) FROM pattern_revisions r LEFT JOIN pattern_stages s "
            "ON s.revision_id = r.id WHERE r.pattern_id = 1 GROUP BY r.id HAVING count(s.id) != ?"
        )
        found += [f"half a revision: {line}" for line in raw.execute(short, (STAGES,))]
        found += [f"month without figures: {n}" for (n,) in ask("SELECT id FROM months WHERE figures = '{}'")]
    return found


def _is_picture(file: Path) -> bool:
    try:
        with Image.open(file) as picture:
            picture.load()
    except OSError:
        return False
    return True


def shop(instance: Path) -> None:
    """The small shop on its busy Wednesday, in tables as they are migrated."""
    url = f"sqlite:///{instance / 'shop.db'}"
    migrate(url, instance, NOW)
    store = open_store(url, instance)
    busy_day(make_joinery(store))
    store.close()


def run(instance: Path, kills: int, rng: Random) -> tuple[Counter[str], Counter[str], list[str]]:
    """Kill the server so many times in each deed: how often cut off, how often just done; what was wrong."""
    port, cut, done, wrong = free_port(), Counter[str](), Counter[str](), list[str]()
    process = start(instance, port)
    desk = Desk(port)
    desk.enter()
    photo(desk, rng, instance)
    desk.post("/backups", {})
    try:
        for name in [name for _ in range(kills) for name in DEEDS]:
            ended = threading.Event()
            thread = threading.Thread(target=_do, args=(DEEDS[name], desk, rng, instance, ended), daemon=True)
            thread.start()
            time.sleep(rng.uniform(0.0, LONGEST_S[name]))
            (done if ended.is_set() else cut)[name] += 1
            process.kill()
            process.wait()
            thread.join(30)
            process = start(instance, port)
            wrong += [f"after {name}: {said}" for said in wrong_in(instance)]
            desk.enter()
            if "<main" not in desk.get("/jobs"):
                wrong.append(f"after {name}: no page of the jobs")
    finally:
        process.terminate()
        process.wait()
    return cut, done, wrong


def _do(
    deed: Callable[[Desk, Random, Path], None], desk: Desk, rng: Random, folder: Path, ended: threading.Event
) -> None:
    try:
        deed(desk, rng, folder)
        ended.set()
    except (OSError, HTTPException, StopIteration):
        return  # the server was killed meanwhile


def main() -> None:
    asked = argparse.ArgumentParser(prog="python -m tests.bench.office_kills", description=__doc__)
    asked.add_argument("--kills", type=int, default=8, help="in each of the deeds")
    asked.add_argument("--seed", type=int, default=1)
    said = asked.parse_args()
    with TemporaryDirectory() as folder:
        instance = Path(folder)
        shop(instance)
        cut, done, wrong = run(instance, said.kills, Random(said.seed))
        with reading_only(instance / "shop.db") as session:
            different = replay_check(session, datetime.now(UTC))  # noqa: TID251 # a command: the clock is read here
            counts = {
                t: session.connection().exec_driver_sql(f"SELECT count(*) FROM {t}").scalar() for t in COUNTED
            }
    for name in DEEDS:
        print(f"{name:12}{cut[name]:4} killed in the middle, {done[name]:3} just after")
    print(", ".join(f"{count:,} {table}" for table, count in counts.items()))
    print(f"{len(wrong)} wrong, the tally differs from the log in {len(different)} places")
    for sentence in dict.fromkeys([*wrong, *different]):
        print(sentence)
    raise SystemExit(1 if wrong or different else 0)


COUNTED = ("photos", "past_times", "months", "pattern_revisions")

if __name__ == "__main__":
    main()
