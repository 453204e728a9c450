"""How the house stands: no circle of imports, and folders said to be without effects have none."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGES = ("groundwork", "patterns", "probe_io", "sequences", "panelwear")
WITHOUT_EFFECTS = ("panelwear/compare", "panelwear/panel", "panelwear/uncertainty", "panelwear/figures/each")
EFFECTS = {"os", "pathlib", "time", "subprocess", "socket", "threading", "shutil", "tempfile", "glob"}


def modules() -> dict[str, ast.Module]:
    found = {}
    for package in PACKAGES:
        for path in sorted((ROOT / package).rglob("*.py")):
            parts = path.relative_to(ROOT).with_suffix("").parts
            name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
            found[name] = ast.parse(path.read_text(encoding="utf-8"))
    return found


def imported(tree: ast.Module, known: set[str]) -> set[str]:
    """Return the modules of ours a file imports, inside functions too."""
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            inner = {f"{node.module}.{alias.name}" for alias in node.names}
            found |= inner & known
            if not inner <= known:
                found.add(node.module)
    return found & known


def circle_of(graph: dict[str, set[str]]) -> list[str]:
    """Return the modules of one circle, or nothing."""
    done: set[str] = set()

    def walk(name: str, way: list[str]) -> list[str]:
        if name in way:
            return way[way.index(name) :]
        if name in done:
            return []
        for other in sorted(graph[name]):
            if found := walk(other, [*way, name]):
                return found
        done.add(name)
        return []

    return next((found for name in graph if (found := walk(name, []))), [])


def test_a_circle_is_noticed() -> None:
    assert circle_of({"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": set()}) == ["a", "b", "c"]


def test_no_file_imports_itself_by_way_of_others() -> None:
    there = modules()
    graph = {name: imported(tree, set(there)) - {name} for name, tree in there.items()}
    assert sum(map(len, graph.values())) > 1000
    assert circle_of(graph) == []


@pytest.mark.parametrize("folder", WITHOUT_EFFECTS)
def test_a_folder_without_effects_imports_no_file_clock_or_process(folder: str) -> None:
    files = sorted((ROOT / folder).rglob("*.py"))
    assert files
    for path in files:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            assert not {name.partition(".")[0] for name in names} & EFFECTS, path
            assert not (isinstance(node, ast.Name) and node.id == "open"), path


def test_the_developers_table_names_every_folder() -> None:
    table = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = set(re.findall(r"`([\w/]+)/`", table))
    missing = [
        folder.name for folder in (ROOT / "panelwear").iterdir() if (folder / "__init__.py").exists()
        and not {folder.name, f"panelwear/{folder.name}"} & named
    ]  # fmt: skip
    assert missing == []
