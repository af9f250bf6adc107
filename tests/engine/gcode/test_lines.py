"""Bytes to blocks: the same however they are cut, ends of lines of every kind, lines without end."""

from hypothesis import given, settings
from hypothesis import strategies as st

from shoptrack.engine.gcode.lines import BLOCK, blocks


def whole(*pieces: bytes) -> bytes:
    return b"".join(block.text for block in blocks(pieces))


def test_ends_of_lines_become_one() -> None:
    assert whole(b"G0\r\nG1\rG2\n\nG3") == b"G0\nG1\nG2\n\nG3\n"
    assert whole(b"G0\r", b"\nG1\r") == b"G0\nG1\n"


def test_nothing_gives_nothing() -> None:
    assert whole() == whole(b"", b"") == b""


def test_a_mark_before_the_text_is_left_out() -> None:
    assert whole(b"\xef\xbb\xbfG0\n") == b"G0\n"


def test_blocks_begin_at_multiples_and_hold_whole_lines() -> None:
    text = b"G1 X1.5 Y2.5\n" * 60_000
    found = list(blocks([text]))
    assert len(found) == -(-len(text) // BLOCK) + 1
    assert all(block.text.endswith(b"\n") for block in found if block.text)
    assert b"".join(block.text for block in found) == text
    assert found[0].read == BLOCK
    assert found[-1].read == len(text)


def test_a_line_without_end_ends_it_with_what_came_before() -> None:
    found = list(blocks(b"G0\n" + b"x" * 1000 if n == 0 else b"x" * 100_000 for n in range(10_000)))
    assert [block.text for block in found] == [b"G0\n"]
    assert found[-1].cut
    assert found[-1].read == BLOCK


@given(st.lists(st.binary(max_size=40), max_size=30))
@settings(max_examples=60)
def test_the_cuts_make_no_difference(pieces: list[bytes]) -> None:
    assert list(blocks(pieces)) == list(blocks([b"".join(pieces)]))


def test_the_cuts_make_no_difference_over_many_blocks() -> None:
    text = b"".join(b"G1 X%d\r\n" % n for n in range(80_000))
    small = [text[at : at + 7_777] for at in range(0, len(text), 7_777)]
    assert list(blocks(small)) == list(blocks([text]))
