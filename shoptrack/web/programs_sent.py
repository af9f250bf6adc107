"""A posted program file → the file on the disk, never in memory, with its name; or a plain reason why not."""

import os
import tempfile
from collections.abc import Generator
from pathlib import PurePath
from time import monotonic
from typing import IO, Any, cast

from flask import request
from werkzeug.exceptions import RequestEntityTooLarge
from werkzeug.formparser import FormDataParser

from shoptrack.errors import BadInput
from shoptrack.flows.bring_in_shapes import Progress
from shoptrack.flows.programs.attach import GREATEST_BYTES, MOST_TIMES, TOO_LARGE, Sent
from shoptrack.web import forms
from shoptrack.web.here import config

ENVELOPE_BYTES = 64 * 1024  # what a form adds round its file
LONGEST_NAME = 120
TICKS = 25
MB = 1_000_000


class OnDisk(FormDataParser):
    """Puts every file of a form into one without a name in the instance folder: gone once nobody reads it."""

    def __init__(self, **given: Any) -> None:
        super().__init__(**{**given, "stream_factory": _on_disk})


def _on_disk(*_: object, **__: object) -> IO[bytes]:
    return cast("IO[bytes]", tempfile.TemporaryFile(dir=config().instance))


def sent_program() -> Sent:
    """The program of the posted form. Raises BadInput where there is none or it is too large."""
    most = GREATEST_BYTES + ENVELOPE_BYTES
    request.max_content_length = most
    request.form_data_parser_class = OnDisk
    if (request.content_length or 0) > most:  # said before any of it is read
        raise BadInput(TOO_LARGE, "file")
    try:
        file = request.files.get("file")
    except RequestEntityTooLarge as problem:
        raise BadInput(TOO_LARGE, "file") from problem
    times = forms.whole(request.form, "times", "How often it is run", most=MOST_TIMES)
    if file is None or not file.filename:
        raise BadInput("Choose a file first.", "file")
    # a handle of our own: the request's is closed before a page that is sent in pieces has ended
    return Sent(os.fdopen(os.dup(file.stream.fileno()), "rb"), shown_name(file.filename), times)


def shown_name(sent: str) -> str:
    """The name of a file without its folders and without signs that can't be seen, shortened inside."""
    name = PurePath(sent.replace("\\", "/")).name
    name = " ".join("".join(c if c.isprintable() else " " for c in name).split()) or "a program"
    if len(name) <= LONGEST_NAME:
        return name
    half = LONGEST_NAME // 2
    return f"{name[: half - 1]}…{name[-half:]}"


def soon(work: Generator[int, None, int], seconds: float) -> int | None:
    """What comes of the work if it ends within so many seconds; None: it goes on."""
    ends = monotonic() + seconds
    while True:
        try:
            next(work)
        except StopIteration as end:
            return cast("int", end.value)
        if monotonic() >= ends:
            return None


def in_megabytes(work: Generator[int, None, int], size: int) -> Generator[Progress, None, int]:
    """The progress of the work in megabytes, some two dozen ticks for the whole of it."""
    step, told = max(size // TICKS, MB), 0
    yield Progress(0, size // MB)
    while True:
        try:
            done = next(work)
        except StopIteration as end:
            return cast("int", end.value)
        if done - told >= step:
            told = done
            yield Progress(done // MB, size // MB)
