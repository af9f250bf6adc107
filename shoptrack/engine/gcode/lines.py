"""Bytes in pieces of any size → blocks of whole lines, the same however they came."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from shoptrack.engine.gcode.words import LONGEST

BLOCK = 1 << 18
"""Bytes at a time: enough that numpy is worth its calls, little beside the memory of anything else."""
_MARK = b"\xef\xbb\xbf"
"""What some editors put before a text in UTF-8."""


@dataclass(frozen=True, slots=True)
class Lines:
    """Whole lines, each with its end; ``read`` bytes were taken so far. ``cut``: the next is too long."""

    text: bytes
    read: int
    cut: bool = False


def blocks(pieces: Iterable[bytes]) -> Iterator[Lines]:
    """Whole lines in blocks.

    Takes bytes, cut anywhere. Gives blocks of about 256 KiB; ends of lines become one line feed, the last
    line gets one. A line longer than any that is read ends it, with what came before. Empty: one
    empty block.
    Method: blocks begin at multiples of a size, so that sums come out the same to the last digit.
    """
    kept, read = b"", 0
    for piece in _of_one_size(pieces):
        text = kept + (piece.removeprefix(_MARK) if not read else piece)
        read += len(piece)
        text, kept = _whole(text)
        too_long = len(kept) > LONGEST
        yield Lines(text, read, too_long)
        if too_long:
            return
    yield Lines(kept.removesuffix(b"\r") + b"\n" if kept else b"", read)


def _whole(text: bytes) -> tuple[bytes, bytes]:
    """The lines that are whole, and what may go on."""
    held = b"\r" if text.endswith(b"\r") else b""
    if b"\r" in text:
        text = text[: len(text) - len(held)].replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    end = text.rfind(b"\n") + 1
    return text[:end], text[end:] + held


def _of_one_size(pieces: Iterable[bytes]) -> Iterator[bytes]:
    held = bytearray()
    for piece in pieces:
        for at in range(0, len(piece), BLOCK):
            held += piece[at : at + BLOCK]
            if len(held) >= BLOCK:
                yield bytes(held[:BLOCK])
                del held[:BLOCK]
    if held:
        yield bytes(held)
