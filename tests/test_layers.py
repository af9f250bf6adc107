"""Which part of the program may know which: imports go downwards, and the engine knows no framework."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.source import ROOT, dotted, modules, tree

FRAMEWORKS = ("flask", "werkzeug", "jinja2", "sqlalchemy", "alembic", "cheroot", "click")
SOLVER = ("improve", "model_")
"""The modules of the planner that speak with the solver."""


def imports(module: Path) -> Iterator[str]:
    """The modules that a module names in its imports, ``from a import b`` as a and as a.b."""
    for node in ast.walk(tree(module)):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield from (f"{node.module}.{name.name}" for name in node.names)


def test_the_contracts_hold() -> None:
    """The contracts of pyproject.toml, read by the linter that enforces them."""
    linter = Path(sys.executable).parent / "lint-imports"
    done = subprocess.run([linter, "--no-cache"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_engine_alone_loads_no_framework() -> None:
    """A fresh process imports every module of the engine; no framework and no upper layer comes along."""
    names = [dotted(m) for m in modules("shoptrack/engine")]
    code = f"import sys, importlib\n[importlib.import_module(n) for n in {names!r}]\nprint(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    assert "shoptrack.engine.replay" in loaded
    upper = [f"shoptrack.{layer}" for layer in ("config", "store", "flows", "demo", "web", "cli")]
    assert not loaded & {*FRAMEWORKS, *upper, "ortools"}


@pytest.mark.parametrize("module", modules("shoptrack/engine"), ids=dotted)
def test_the_engine_imports_the_standard_library_numpy_and_itself(module: Path) -> None:
    """The planner's solver may be missing: what speaks with it imports it where it is used."""
    ours = ("shoptrack.engine.", "shoptrack.errors.")
    may = sys.stdlib_module_names | {"numpy"}
    if module.name.startswith(SOLVER) and module.parent.name == "schedule":
        may |= {"ortools"}
    strange = [
        name for name in imports(module) if name.partition(".")[0] not in may and not name.startswith(ours)
    ]
    assert strange == []


@pytest.mark.parametrize("module", modules("shoptrack/flows"), ids=dotted)
def test_flows_know_no_page(module: Path) -> None:
    assert not {name.partition(".")[0] for name in imports(module)} & {"flask", "werkzeug", "jinja2", "click"}


@pytest.mark.parametrize("module", modules("shoptrack/web"), ids=dotted)
def test_pages_ask_flows_not_the_engine(module: Path) -> None:
    """A page may use the engine's units and shapes to write and draw what a flow gave it, and no more."""
    allowed = ("shoptrack.engine.units", "shoptrack.engine.shapes")
    engine = [n for n in imports(module) if n.startswith("shoptrack.engine")]
    assert [n for n in engine if not n.startswith(allowed)] == []


def test_screens_do_not_import_each_other() -> None:
    """Modules with a blueprint are screens; what two of them share lies in a module of its own."""
    screens = {
        dotted(m): m
        for m in modules("shoptrack/web")
        if "Blueprint(" in (ROOT / m).read_text(encoding="utf-8")
    }
    assert screens
    for name, module in screens.items():
        known = {n.rpartition(".")[0] for n in imports(module)} | set(imports(module))
        assert not known & (set(screens) - {name}), name


def test_only_record_writes_the_log() -> None:
    """``log.append`` and what lies beside it (kept, set aside) is called in flows.record alone."""
    writers = {"append", "keep", "set_aside", "drop_kept"}
    found = {
        dotted(module)
        for folder in ("flows", "web", "demo")
        for module in modules(f"shoptrack/{folder}")
        for node in ast.walk(tree(module))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr in writers
        and isinstance(node.func.value, ast.Name)
        and node.func.value.id == "log"
    }
    assert found == {"shoptrack.flows.record"}
