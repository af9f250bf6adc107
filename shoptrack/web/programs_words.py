"""Minutes, feeds and distances of a program → as makers of this shop write them."""

from dataclasses import dataclass

from shoptrack.engine.shapes.programs import Reach
from shoptrack.engine.units import minutes_words
from shoptrack.web.render import Wall, length

MM_PER_INCH, MM_PER_FOOT, MM_PER_M = 25.4, 304.8, 1000.0
_SHORT_MIN = 10.0
_FEW = 10.0


def run_words(minutes: float) -> str:
    """Minutes of a machine, with seconds while they are few: "8 s", "4 min 20 s", "41 min", "1 h 25"."""
    if minutes >= _SHORT_MIN:
        return _whole(minutes_words(minutes))
    whole, seconds = divmod(round(minutes * 60), 60)
    if not whole:
        return _whole(f"{seconds} s")
    return _whole(f"{whole} min {seconds} s" if seconds else f"{whole} min")


def _whole(amount: str) -> str:
    """An amount that no line ends within."""
    return amount.replace(" ", "\u00a0")


def feed_words(mm_min: float, wall: Wall) -> str:
    """A speed of travel: "1200 mm/min", "47 in/min", with a decimal while it is small."""
    value = mm_min if wall.length_unit == "mm" else mm_min / MM_PER_INCH
    return f"{feed_field(value)} {'mm' if wall.length_unit == 'mm' else 'in'}/min"


def feeds_words(least: float | None, most: float | None, wall: Wall) -> str:
    """The feeds of a tool, from the least to the most; nothing where none was set."""
    if least is None or most is None:
        return ""
    low, high = feed_words(least, wall), feed_words(most, wall)
    return high if low == high else f"{low.split(' ')[0]}–{high}"


def feed_field(value: float) -> str:
    """A speed in its unit without needless decimals."""
    return f"{value:.1f}".removesuffix(".0") if value < _FEW else f"{value:.0f}"


def far_words(mm: float, wall: Wall) -> str:
    """A long way in metres or feet: "12.4 m", "41 ft"."""
    value, unit = (mm / MM_PER_M, "m") if wall.length_unit == "mm" else (mm / MM_PER_FOOT, "ft")
    return _whole(f"{value:,.1f} {unit}" if value < 100 else f"{value:,.0f} {unit}")


def fine_words(mm: float, wall: Wall) -> str:
    """A depth, finer than a sixteenth: "2.5 mm", '0.098"'."""
    if wall.length_unit == "mm":
        return f"{_decimals(mm, 2)} mm"
    return f'{_decimals(mm / MM_PER_INCH, 3)}"'


def _decimals(value: float, places: int) -> str:
    text = f"{value:.{places}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text.replace("-", "−")


def reach_words(reach: Reach | None, wall: Wall) -> str:
    """From where to where on an axis: "0 mm to 600 mm"; "not known" where the program doesn't say."""
    if reach is None:
        return "not known"
    return f"{fine_words(reach[0], wall)} to {fine_words(reach[1], wall)}"


def wide_words(reach: Reach | None, wall: Wall) -> str:
    """How far it is from one end to the other; nothing where that is not known."""
    return "" if reach is None else length(reach[1] - reach[0], wall)


def size_words(size: int) -> str:
    """The size of a file: "812 bytes", "14 kB", "86 MB"."""
    if size < 1000:
        return f"{size} bytes"
    return f"{size / 1e6:.1f} MB".replace(".0 MB", " MB") if size >= 1e6 else f"{size / 1e3:.0f} kB"


@dataclass(frozen=True, slots=True)
class Words:
    """The words above in the units of one shop, for templates."""

    wall: Wall

    def feed(self, mm_min: float) -> str:
        return feed_words(mm_min, self.wall)

    def feeds(self, least: float | None, most: float | None) -> str:
        return feeds_words(least, most, self.wall)

    def fine(self, mm: float) -> str:
        return fine_words(mm, self.wall)

    def far(self, mm: float) -> str:
        return far_words(mm, self.wall)

    def reach(self, reach: Reach | None) -> str:
        return reach_words(reach, self.wall)

    def wide(self, reach: Reach | None) -> str:
        return wide_words(reach, self.wall)

    def size(self, size: int) -> str:
        return size_words(size)
