"""Programs read by a process of its own: it tells how far it is, and ends with whoever asked."""

import json
import os
import subprocess
import sys
from dataclasses import asdict
from time import monotonic, sleep

import pytest

from shoptrack.engine.shapes.programs import Program, Ways
from shoptrack.errors import BadInput
from shoptrack.flows.programs import reading
from shoptrack.flows.programs.reading import read_apart
from tests.flows.programs.shop import BAD, TWO_BITS, on_disk
from tests.flows.programs.test_attach import big

WAYS = Ways(rapid_mm_min=5000.0)


def read(data: bytes, code: str = reading.START) -> tuple[list[int], Program]:
    told = []
    with on_disk(data) as file:
        work = read_apart(file, WAYS, code)
        while True:
            try:
                told.append(next(work))
            except StopIteration as end:
                return told, end.value


def test_it_tells_how_far_it_is_and_gives_the_program() -> None:
    data = big()
    told, program = read(data)
    assert told == sorted(told)
    assert len(told) == len(data) // (1024 * 1024)
    assert program.size_bytes == len(data)
    assert [tool.number for tool in program.tools] == [1, 2]


def test_a_bad_line_is_named_at_the_field() -> None:
    with pytest.raises(BadInput, match=r"^Line 4: ") as wrong:
        read(BAD)
    assert wrong.value.field == "file"


def test_a_process_that_dies_is_told_in_a_sentence() -> None:
    for code in ("import os; os._exit(3)", "print('no such thing')"):
        with pytest.raises(BadInput, match="broke off"):
            read(TWO_BITS, code)


def test_no_more_than_two_are_read_at_once_and_a_turn_is_given_back() -> None:
    with on_disk(big()) as one, on_disk(big()) as two, on_disk(TWO_BITS) as three:
        works = [read_apart(file, WAYS) for file in (one, two)]
        for work in works:
            next(work)
        with pytest.raises(BadInput, match="Two programs are being read"):
            next(read_apart(three, WAYS))
        for work in works:
            work.close()
        three.seek(0)
        for _ in read_apart(three, WAYS):
            pass


def test_left_before_its_end_the_process_ends_too(monkeypatch: pytest.MonkeyPatch) -> None:
    begun = []
    popen = reading.subprocess.Popen

    def kept(*args: object, **said: object) -> object:
        begun.append(popen(*args, **said))  # type: ignore[call-overload]
        return begun[-1]

    monkeypatch.setattr(reading.subprocess, "Popen", kept)
    with on_disk(big()) as file:
        work = read_apart(file, WAYS)
        next(work)
        assert begun[0].poll() is None
        work.close()
    assert begun[0].poll() is not None


def test_a_reader_whose_server_is_gone_ends_by_itself() -> None:
    """The server is killed: its end of the pipe closes, and at the next telling the reader is gone."""
    with on_disk(big() * 20) as file:
        process = subprocess.Popen(
            [sys.executable, "-c", reading.START, json.dumps([sys.path, asdict(WAYS)])],
            stdin=file.fileno(),
            stdout=subprocess.PIPE,
        )
        assert process.stdout is not None
        process.stdout.read(1)
        process.stdout.close()
        ends = monotonic() + 60
        while process.poll() is None and monotonic() < ends:
            sleep(0.05)
        assert process.poll() == 0


@pytest.mark.skipif(not hasattr(os, "nice"), reason="there is no niceness here")
def test_it_gives_way_to_everything_else() -> None:
    with on_disk(big()) as file:
        work = read_apart(file, WAYS)
        next(work)
        children = [pid for pid in _children() if os.getpriority(os.PRIO_PROCESS, pid) >= 10]
        work.close()
    assert children or not os.path.isdir("/proc")


def _children() -> list[int]:
    found = []
    for name in os.listdir("/proc") if os.path.isdir("/proc") else ():
        if name.isdigit():
            try:
                with open(f"/proc/{name}/stat", encoding="ascii", errors="replace") as stat:
                    parent = int(stat.read().rpartition(")")[2].split()[1])
            except OSError:
                continue
            if parent == os.getpid():
                found.append(int(name))
    return found
