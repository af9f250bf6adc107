"""Invented programs of some sizes → MB a second and memory at the peak, beside reading and splitting."""

import argparse
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.bench.gcode.apart import apart, read_ours, split_alone
from tests.bench.gcode.invented import KINDS, lines


def line_of(kind: str, size_mb: float, file: Path) -> str:
    (ours_s, ours_mb), (bare_s, _) = apart(read_ours, file), apart(split_alone, file)
    size = file.stat().st_size / 1e6
    return (
        f"  {size_mb:7g} MB of {kind:9}{size / ours_s:6.1f} MB/s ({ours_s:.2f} s), "
        f"{ours_s / bare_s:.1f} × reading and splitting its lines; {ours_mb:.1f} MB at its peak"
    )


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.gcode", description=__doc__)
    parser.add_argument("--mb", type=float, nargs="+", default=[1, 10])
    parser.add_argument("--kinds", nargs="+", choices=KINDS, default=list(KINDS))
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    print("seconds of the processor, not of the clock")
    with TemporaryDirectory() as home:
        for kind in asked.kinds:
            for size_mb in asked.mb:
                file = Path(home) / f"{kind}.nc"
                with open(file, "w", encoding="ascii") as out:
                    out.writelines(lines(kind, int(size_mb * 1e6), asked.seed))
                print(line_of(kind, size_mb, file), flush=True)


if __name__ == "__main__":
    main()
