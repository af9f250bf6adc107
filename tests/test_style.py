"""The shape of the code: short modules, short functions, one test file a module, plain words."""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from statistics import median

import pytest

from tests.source import ROOT, first_line, modules, tree

OURS = ("shoptrack", "tests", "migrations")
ROUTES = ("route", "get", "post")

CRUX: dict[str, str] = {}
"""Functions that may run to 60 lines, each with the reason why it is one piece."""

TESTED_ELSEWHERE: dict[str, str] = {
    "shoptrack/__init__.py": "holds the version alone",
    "shoptrack/errors.py": "names for refusals; the tests of whatever refuses catch them by name",
    "shoptrack/store/base.py": "naive instants: tests/store/test_log.py; names: tests/store/test_migrate.py",
    "shoptrack/engine/replay/__init__.py": "whole replays: tests/engine/test_day.py",
    "shoptrack/engine/replay/answers.py": "each beside what it settles: tests/engine/replay/test_minutes.py, "
    "tests/engine/replay/test_rounds.py, tests/engine/replay/test_stints.py, tests/engine/test_marks.py",
    "shoptrack/demo/case_work.py": "stages by name, held against the patterns: tests/demo/test_pieces.py",
    "shoptrack/demo/flat_work.py": "stages by name, held against the patterns: tests/demo/test_pieces.py",
    "shoptrack/demo/steps.py": "how those stages are written down: tests/demo/test_pieces.py",
    "shoptrack/demo/sequences.py": "the list of them: tests/demo/test_pieces.py",
    "shoptrack/demo/left.py": "what it lets people choose shows in their days: tests/demo/test_days.py",
    "shoptrack/engine/replay/book.py": "the page that the rules write on: tests/engine/replay/test_stints.py",
}
"""Modules without a test file of their own name, with where or why."""

TESTED_TOGETHER: dict[str, str] = {
    "shoptrack/engine/shapes": "shapes have no behaviour to speak of; every engine test makes and reads them",
    "shoptrack/store/tables": "declarations; tests/store/test_migrate.py holds them against the migrations",
}
"""Packages whose modules share one reason."""


@dataclass(frozen=True)
class Function:
    """A function as it stands in a module; ``lines`` are those of its body without the docstring."""

    module: str
    name: str
    lines: int
    is_view: bool


def functions(module: Path) -> Iterator[Function]:
    for node in ast.walk(tree(module)):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield Function(module.as_posix(), node.name, body_lines(node), is_view(node))


def body_lines(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    said = ast.get_docstring(node) is not None
    body = node.body[1:] if said else node.body
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


def is_view(node: ast.FunctionDef | ast.AsyncFunctionDef) -> bool:
    calls = (d.func for d in node.decorator_list if isinstance(d, ast.Call))
    return any(isinstance(f, ast.Attribute) and f.attr in ROUTES for f in calls)


def lines_of(path: Path) -> int:
    return len((ROOT / path).read_text(encoding="utf-8").splitlines())


def files(folder: str, *endings: str) -> list[Path]:
    found = (p for ending in endings for p in (ROOT / folder).rglob(f"*{ending}"))
    return sorted(p.relative_to(ROOT) for p in found)


@pytest.mark.parametrize("module", [m for folder in OURS for m in modules(folder)], ids=str)
def test_a_module_has_at_most_300_lines(module: Path) -> None:
    assert lines_of(module) <= 300


def test_functions_are_short() -> None:
    """40 lines at most, 60 for the few named ones, and half of all have 8 or fewer."""
    found = [f for module in modules() for f in functions(module)]
    assert median(f.lines for f in found) <= 8
    over = {f"{f.module}:{f.name}": f.lines for f in found if f.lines > 40}
    assert {name for name in over if name not in CRUX} == set()
    assert set(CRUX) <= set(over), "the list of exceptions names a function that needs none"
    assert all(lines <= 60 for lines in over.values())


def test_views_are_shorter() -> None:
    """A view parses, calls a flow and renders: 15 lines at most."""
    views = [f for m in modules("shoptrack/web") for f in functions(m) if f.is_view]
    assert views
    assert [f for f in views if f.lines > 15] == []


@pytest.mark.parametrize("path", files("shoptrack/web", ".html", ".js"), ids=str)
def test_templates_and_scripts_have_at_most_150_lines(path: Path) -> None:
    assert lines_of(path) <= 150


@pytest.mark.parametrize("module", modules(), ids=str)
def test_a_module_says_in_one_line_what_it_does(module: Path) -> None:
    line = first_line(module)
    assert line.endswith((".", "!")), f"“{line}” is no whole sentence on one line"


def where_tested(module: Path) -> list[Path]:
    """Where the tests of a module may lie; a package's module may have the package's own test file."""
    _, *folders, name = module.with_suffix("").parts
    stem = folders.pop() if name == "__init__" and len(folders) > 1 else name.strip("_")
    layer, inner = (folders[0], folders[1:]) if folders else (".", [])
    stems = [stem, "_".join([*inner, stem]), *inner]
    return [ROOT / "tests" / layer / f"test_{s}.py" for s in stems] + [
        ROOT / "tests" / layer / Path(*inner) / f"test_{stem}.py"
    ]


@pytest.mark.parametrize("module", modules(), ids=str)
def test_a_module_has_its_tests(module: Path) -> None:
    name = module.as_posix()
    excused = name in TESTED_ELSEWHERE or any(name.startswith(p + "/") for p in TESTED_TOGETHER)
    empty = not tree(module).body[1:]
    assert excused or empty or any(p.exists() for p in where_tested(module)), where_tested(module)[0]


def test_the_excuses_are_needed() -> None:
    for name, why in TESTED_ELSEWHERE.items():
        assert (ROOT / name).exists()
        assert all((ROOT / test).exists() for test in re.findall(r"tests/[\w/]+\.py", why)), why
        assert not any(p.exists() for p in where_tested(Path(name))), f"{name} has its own tests by now"


# --- words -------------------------------------------------------------------------------------------

# written in halves, so that this file may be searched too
_NEVER = (
    ("TO", "DO"),
    ("FIX", "ME"),
    ("XX", "X"),
    ("NotImplemented", "Error"),
    ("seed ", "document"),
    ("assis", "tant"),
    ("language ", "model"),
    ("chat", "bot"),
    ("foun", "der"),
    ("product", r"\.md"),
    ("architecture", r"\.md"),
    (r"\.\./sha", "red/"),
    ("/wo", "rk/"),
    ("/tm", "p/"),
    ("/ro", "ot/"),
    ("pypi", r"\.org"),
    ("python", "hosted"),
    ("npm", r"js\."),
    (r"deb\.", "debian"),
    ("index", "-url"),
    ("find", "-links"),
    ("no code recalled ", "from"),
)
NEVER = re.compile("|".join(rf"{chr(92) + 'b' if a[0].isalpha() else ''}{a}{b}" for a, b in _NEVER))
PLANNED_IN_STEPS = re.compile(r"\bst" + r"ep [1-5]\b", re.IGNORECASE)
HOLLOW = ("manager", "helper", "utils", "util", "service", "misc", "common")

SKIPPED = {".git", ".venv", "instance", "build", "dist", "__pycache__"}


def text_files() -> list[Path]:
    """Every file of the project that people read, dotfiles too; not what tools leave behind."""
    found = []
    for path in sorted(ROOT.rglob("*")):
        parts = path.relative_to(ROOT).parts
        left = {p for p in parts[:-1] if p in SKIPPED or p.endswith(("_cache", ".egg-info", ".hypothesis"))}
        if path.is_file() and not left and path.suffix not in (".png", ".pyc"):
            found.append(path.relative_to(ROOT))
    return [*found, Path("instance/README.md")]


@pytest.mark.parametrize("path", text_files(), ids=str)
def test_a_file_speaks_of_the_shop_alone(path: Path) -> None:
    """Nothing left undone, no path of one machine, no address that a package is fetched from."""
    text = (ROOT / path).read_text(encoding="utf-8")
    assert [m[0] for m in NEVER.finditer(text)] == []
    assert [m[0] for m in PLANNED_IN_STEPS.finditer(text)] == []


def test_names_say_what_a_thing_is() -> None:
    names = [p.stem for p in modules()]
    for module in modules():
        names += [n.name for n in ast.walk(tree(module)) if isinstance(n, ast.ClassDef)]
    words = {name: set(re.findall(r"[A-Z]?[a-z]+", name)) for name in names}
    assert [n for n, said in words.items() if {w.lower() for w in said} & set(HOLLOW)] == []
