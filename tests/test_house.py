"""How the house stands: no circle of imports, and folders said to be without effects have none."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGES = ("groundwork", "patterns", "probe_io", "sequences", "panelwear")
EFFECTS = {
    "os",
    "pathlib",
    "time",
    "subprocess",
    "socket",
    "threading",
    "shutil",
    "tempfile",
    "glob",
    "signal",
    "select",
}
EFFECTS |= {"importlib.resources", "serial", "pygame", "open"}


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


def effects_of(path: Path) -> set[str]:
    """Return what a file imports, or opens, that reaches out of the program."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            names |= {node.module or "", *(f"{node.module}.{alias.name}" for alias in node.names)}
        elif isinstance(node, ast.Name) and node.id == "open":
            names.add("open")
    return {effect for effect in EFFECTS if any(name == effect or name.startswith(f"{effect}.") for name in names)}


def effects_told() -> dict[str, set[str] | None]:
    """Return what the developers' table tells of each folder: the files with effects; ``None``: any may have."""
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| `([\w/]+)/` \|.*\| ([^|]+) \|$", page, re.MULTILINE)
    files = {folder: set(re.findall(r"`(\w+\.py)`", cell)) for folder, cell in rows}
    return {folder: files[folder] if files[folder] or cell == "none" else None for folder, cell in rows}


def test_effects_are_noticed() -> None:
    assert effects_of(ROOT / "panelwear" / "readings" / "store.py") == {"os", "pathlib"}
    assert {told is None for told in effects_told().values()} == {True, False}
    assert effects_told()["panelwear/compare"] == set()


@pytest.mark.parametrize("folder", [folder for folder, told in effects_told().items() if told is not None])
def test_only_files_said_to_have_effects_reach_out_of_the_program(folder: str) -> None:
    found = {path.name for path in (ROOT / folder).rglob("*.py") if effects_of(path)}
    assert found == effects_told()[folder]


def test_the_developers_table_names_every_folder() -> None:
    folders = {f"panelwear/{path.parent.name}" for path in (ROOT / "panelwear").glob("*/__init__.py")}
    assert folders and folders <= set(effects_told())


def _longest_function(tree: ast.Module) -> int:
    functions = [n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef | ast.AsyncFunctionDef)]
    return max((1 + (n.end_lineno or n.lineno) - n.lineno for n in functions), default=0)


def test_a_long_function_is_noticed() -> None:
    assert _longest_function(ast.parse("def f():\n" + "    x = 1\n" * 70)) == 71


def test_modules_and_functions_stay_small() -> None:
    files = [path for package in PACKAGES for path in (ROOT / package).rglob("*.py")]
    lines = {path.name: len(path.read_text(encoding="utf-8").splitlines()) for path in files}
    assert {name: n for name, n in lines.items() if n > 400} == {}
    assert {name: n for name, tree in modules().items() if (n := _longest_function(tree)) > 60} == {}
