"""The project's folder → its modules and what each says of itself, for the tests that read the code."""

import ast
from pathlib import Path

ROOT = Path(__file__).parent.parent


def modules(folder: str = "shoptrack") -> list[Path]:
    """Every module under a folder, in order, relative to the project."""
    return sorted(path.relative_to(ROOT) for path in (ROOT / folder).rglob("*.py"))


def tree(module: Path) -> ast.Module:
    """A module as Python reads it."""
    return ast.parse((ROOT / module).read_text(encoding="utf-8"))


def dotted(module: Path) -> str:
    """A module's name in an import."""
    return ".".join(module.with_suffix("").parts).removesuffix(".__init__")


def first_line(module: Path) -> str:
    """The first line of a module's docstring; empty where it has none."""
    return (ast.get_docstring(tree(module)) or "").partition("\n")[0]
