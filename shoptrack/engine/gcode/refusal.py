"""A line that can't be read → an error that names it."""

from shoptrack.errors import BadInput


class Unread(Exception):
    """Why a line can't be read, as one sentence; who knows the line's number makes a ``BadProgram`` of it."""


class BadProgram(BadInput):
    """A program that can't be read: its text names the line and says why. Nothing is guessed."""

    def __init__(self, line: int, why: str) -> None:
        super().__init__(f"Line {line}: {why}")
        self.line = line
        self.why = why
