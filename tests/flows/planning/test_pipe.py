"""A worker process over its pipe: begun, asked, killed, ended."""

import os
import signal
import subprocess
import sys
from queue import Queue

import pytest

from shoptrack.flows.planning.pipe import Pipe
from shoptrack.flows.planning.worker import NICE, Answer, Ask
from tests.flows.planning.jobs import CODE
from tests.flows.planning.test_worker import better

WAIT_S = 60


def begun() -> tuple[Pipe, "Queue[Answer]"]:
    heard: Queue[Answer] = Queue()
    return Pipe(heard.put, CODE), heard


def test_it_is_asked_answers_and_ends() -> None:
    """What a library prints does not get between the answers; what fails is told, and all goes on."""
    pipe, heard = begun()
    for number, job in enumerate(("chatter", "fail", "modules", "nice"), 1):
        assert pipe.ask(Ask(number, job, None))
    said, failed, modules, nice = (heard.get(timeout=WAIT_S) for _ in range(4))
    assert said.result == "said"
    assert "no such figure" in failed.trouble
    assert not {"sqlalchemy", "flask", "click", "shoptrack.store", "shoptrack.cli"} & set(modules.result)
    assert modules.peak_kb > 1000
    assert nice.result >= NICE or sys.platform == "win32"
    pipe.end()
    assert not pipe.alive
    assert not pipe.ask(Ask(5, "nice", None))


def test_it_ends_in_the_middle_of_a_plan() -> None:
    pipe, heard = begun()
    pipe.ask(Ask(1, "plan", better(3600)))
    assert heard.get(timeout=WAIT_S).number == 1
    pipe.end()
    assert not pipe.alive


def test_a_newer_problem_is_looked_at_at_once() -> None:
    """The first would take an hour; the second comes and has its first answer, then the third."""
    pipe, heard = begun()
    for number in (1, 2, 3):
        pipe.ask(Ask(number, "plan", better(3600)))
        while (answer := heard.get(timeout=WAIT_S)).number != number:
            assert answer.number < number
    pipe.end()


def test_one_that_died_is_seen_to_be_dead() -> None:
    pipe, heard = begun()
    pipe.ask(Ask(1, "nice", None))
    heard.get(timeout=WAIT_S)
    pipe.ask(Ask(2, "die", None))
    pipe.end()
    assert heard.empty()
    assert not pipe.alive


@pytest.mark.skipif(sys.platform == "win32", reason="signals and process ids as elsewhere")
def test_it_ends_with_a_parent_that_is_killed() -> None:
    """A parent begins a worker that has an hour to go, says its number, and is killed where it stands."""
    code = (
        "import sys, time; from queue import Queue; from tests.flows.planning.test_pipe import *\n"
        "pipe, heard = begun(); pipe.ask(Ask(1, 'plan', better(3600))); heard.get(timeout=60)\n"
        "print(pipe.pid, flush=True); sys.stdin.read()"
    )
    parent = subprocess.Popen(
        [sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    with parent:
        assert parent.stdout is not None
        worker = int(parent.stdout.readline())
        os.kill(worker, 0)
        parent.send_signal(signal.SIGKILL)
        parent.wait()
        # the worker holds the errors' end alone by now; its pipe to the parent closes when it is gone
        assert _gone(worker)


def _gone(pid: int) -> bool:
    for _ in range(10_000_000):
        try:
            os.kill(pid, 0)
        except ProcessLookupError:
            return True
        if _is_zombie(pid):
            return True
    return False


def _is_zombie(pid: int) -> bool:
    try:
        with open(f"/proc/{pid}/stat", encoding="ascii") as file:
            return file.read().rpartition(")")[2].split()[0] == "Z"
    except OSError:
        return False
