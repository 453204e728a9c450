"""Every text a person can see, as it stands in the sources: strings of code, templates, TOML files, documents."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[1]
PACKAGES = ("panelwear", "patterns", "probe_io", "sequences", "groundwork")


def strings_of(source: str) -> Iterator[str]:
    """Yield the strings of a module but its docstrings; a formatted string as one, ``{}`` for what is filled in.

    Texts are put together from pieces that stand in a row, so an f-string's parts are joined before they are judged.
    """
    tree = ast.parse(source)
    documentation = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    inside = {id(part) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr) for part in node.values}
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            yield "".join(str(p.value) if isinstance(p, ast.Constant) else "{}" for p in node.values)
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in inside | documentation:
            yield node.value


def texts() -> Iterator[tuple[Path, str]]:
    """Yield (file, text) for all of them: a string of code, the help page of a command, a whole file of words."""
    for package in PACKAGES:
        for path in sorted((ROOT / package).rglob("*")):
            if path.suffix in {".toml", ".j2"}:
                yield path, path.read_text(encoding="utf-8")
            if path.suffix == ".py":
                source = path.read_text(encoding="utf-8")
                yield from ((path, text) for text in strings_of(source))
                if path.parent.name == "commands":
                    yield path, ast.get_docstring(ast.parse(source)) or ""
    for path in [*sorted((ROOT / "docs").glob("*.md")), ROOT / "README.md"]:
        yield path, path.read_text(encoding="utf-8")
