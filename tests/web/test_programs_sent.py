"""A posted program: its file on the disk, its name, and how far the work on it is."""

from collections.abc import Generator
from io import BytesIO
from pathlib import Path

import pytest
from flask import Flask, request
from hypothesis import given
from hypothesis import strategies as st

from shoptrack.errors import BadInput
from shoptrack.flows.bring_in_shapes import Progress
from shoptrack.web.programs_sent import LONGEST_NAME, MB, in_megabytes, sent_program, shown_name, soon


def steps(*done: int) -> Generator[int, None, int]:
    yield from done
    return 7


def test_a_file_lies_on_the_disk_without_a_name(bare_app: Flask, tmp_path: Path) -> None:
    before = set(tmp_path.iterdir())
    form = {"times": "2", "file": (BytesIO(b"G1"), "a/b c.nc")}
    with bare_app.test_request_context("/", method="POST", data=form):
        sent = sent_program()
        assert (sent.name, sent.times) == ("b c.nc", 2)
        assert sent.file.fileno() > 2, "another process can be given it"
        assert sent.file.read() == b"G1"
        assert set(tmp_path.iterdir()) == before
        assert request.form["times"] == "2"
        sent.file.close()


def test_a_form_without_a_file_is_refused(bare_app: Flask) -> None:
    with (
        bare_app.test_request_context("/", method="POST", data={"times": "1"}),
        pytest.raises(BadInput, match="Choose a file"),
    ):
        sent_program()


@given(st.text(max_size=400))
def test_a_name_can_always_be_shown(sent: str) -> None:
    name = shown_name(sent)
    assert 0 < len(name) <= LONGEST_NAME
    assert name.isprintable()
    assert "/" not in name


def test_a_long_name_keeps_both_its_ends() -> None:
    name = shown_name("begin" + "x" * 300 + "end.nc")
    assert name.startswith("begin")
    assert name.endswith("end.nc")


def test_what_ends_soon_is_had_at_once_and_nothing_else_is() -> None:
    assert soon(steps(1, 2), 5.0) == 7
    assert soon(steps(1, 2), 0.0) is None
    assert shown_name("C:\\jobs\\a.nc") == "a.nc"


def test_progress_is_told_in_megabytes_some_two_dozen_times() -> None:
    ended = []

    def all_of_it() -> Generator[Progress, None, None]:
        ended.append((yield from in_megabytes(steps(*range(0, 100 * MB, MB)), 100 * MB)))

    assert [step.done for step in all_of_it()] == list(range(0, 100, 4))
    assert ended == [7]
