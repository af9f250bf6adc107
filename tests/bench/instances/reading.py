"""Files of any of the formats to instances."""

from pathlib import Path

from tests.bench.instances.instance import Instance, Unreadable
from tests.bench.instances.job_shop import packaged_file, read_json, read_matrices
from tests.bench.instances.projects import read_project
from tests.bench.instances.published import OPTIMA
from tests.bench.instances.tardiness import read_tardiness
from tests.bench.instances.time_lags import read_lags


def read(file: Path) -> list[Instance]:
    """All instances in a file.

    Raises: Unreadable where it is of none of the formats.
    """
    text, name = file.read_text(encoding="utf-8"), file.stem
    match file.suffix:
        case ".json":
            return read_json(text)
        case ".sm":
            return [read_project(text, name)]
        case ".sch":
            return [read_lags(text, name)]
    if name.startswith("wt"):
        return read_tardiness(text, name)
    found = read_matrices(text, name)
    if not found:
        raise Unreadable(f"{file.name}: neither a job shop, .sm, .sch nor wt….txt")
    return found


def packaged() -> dict[str, Instance]:
    """The instances with published optima, out of the installed package, by name."""
    return {each.name: each for each in read_json(packaged_file().read_text(encoding="utf-8"), OPTIMA)}
