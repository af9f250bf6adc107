"""The process that reads programs: what it tells, and that it knows the engine alone."""

import subprocess
import sys
from io import BytesIO
from itertools import pairwise

from shoptrack.engine.shapes.programs import Ways
from shoptrack.flows.programs.worker import TELL_EVERY_BYTES, Told, read
from tests.flows.programs.shop import BAD, TWO_BITS
from tests.flows.programs.test_attach import big

WAYS = Ways(rapid_mm_min=5000.0)


def told_of(data: bytes) -> list[Told]:
    found: list[Told] = []
    read(BytesIO(data), WAYS, found.append)
    return found


def test_a_short_program_is_told_at_once() -> None:
    (told,) = told_of(TWO_BITS)
    assert told.program is not None
    assert told.read_bytes == len(TWO_BITS)


def test_of_a_bad_one_the_line_and_the_reason_are_told() -> None:
    (told,) = told_of(BAD)
    assert told.program is None
    assert told.line == 4
    assert told.why


def test_a_long_one_tells_every_megabyte() -> None:
    told = told_of(big())
    assert [t.program is None for t in told] == [True] * (len(told) - 1) + [False]
    assert all(b.read_bytes - a.read_bytes >= TELL_EVERY_BYTES for a, b in pairwise(told[:-1]))


def test_nothing_of_the_server_comes_along() -> None:
    code = "import sys, shoptrack.flows.programs.worker; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    assert "shoptrack.engine.gcode" in loaded
    assert not loaded & {"flask", "sqlalchemy", "shoptrack.store", "shoptrack.web"}
