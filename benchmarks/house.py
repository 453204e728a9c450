"""Print how the house stands: lines, files, long functions, imports, and what a comparison and a report cost.

``python -m benchmarks.house [PANEL] [--tree DIR]``: without a panel folder only the source is counted; with one (such
as a rehearsal's ``harbour-desk``) commands are timed on it. ``--tree`` measures another checkout, with the Python of
its ``.venv``.
"""

from __future__ import annotations

import argparse
import ast
import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

HERE = Path(__file__).parents[1]
PACKAGES = ("groundwork", "patterns", "probe_io", "sequences", "panelwear")
LONG = 60
CALLS = """
import cProfile, io, contextlib, pstats, sys
from panelwear.cli import main
profile = cProfile.Profile()
with contextlib.redirect_stdout(io.StringIO()):
    profile.runcall(main, ["report", sys.argv[1], "--out", sys.argv[2]])
for (file, _, name), (_, calls, *_) in pstats.Stats(profile).stats.items():
    if "panelwear" in file:
        print(name, calls)
"""
WATCHED = ("fit_drift", "read_journal", "evidence_of", "change_table", "_gathered")


def sources(tree: Path) -> dict[Path, ast.Module]:
    """Return the parsed files of a checkout's packages."""
    paths = [path for package in PACKAGES for path in sorted((tree / package).rglob("*.py"))]
    return {path: ast.parse(path.read_text(encoding="utf-8")) for path in paths}


def folder_of(path: Path, tree: Path) -> str:
    """Return the folder a file is counted under."""
    parts = path.relative_to(tree).parts
    return "/".join(parts[:2]) if parts[0] == "panelwear" and len(parts) > 2 else parts[0]


def print_lines(tree: Path, parsed: dict[Path, ast.Module]) -> None:
    """Print lines and files by folder."""
    lines: Counter[str] = Counter()
    files: Counter[str] = Counter()
    for path in parsed:
        lines[folder_of(path, tree)] += len(path.read_text(encoding="utf-8").splitlines())
        files[folder_of(path, tree)] += 1
    for folder in sorted(lines):
        print(f"{folder:28}{files[folder]:6} files{lines[folder]:8} lines")
    print(f"{'all':28}{sum(files.values()):6} files{sum(lines.values()):8} lines")


def print_functions(parsed: dict[Path, ast.Module]) -> None:
    """Print how many functions are long, and the imports inside functions."""
    long, own, foreign = 0, 0, 0
    for tree in parsed.values():
        for node in ast.walk(tree):
            if not isinstance(node, ast.FunctionDef):
                continue
            long += (node.end_lineno or node.lineno) - node.lineno + 1 > LONG
            inner = [n for n in ast.walk(node) if isinstance(n, ast.Import | ast.ImportFrom)]
            names = [n.module or "" if isinstance(n, ast.ImportFrom) else n.names[0].name for n in inner]
            mine = sum(name.partition(".")[0] in PACKAGES for name in names)
            own, foreign = own + mine, foreign + len(names) - mine
    print(f"functions over {LONG} lines: {long}")
    print(f"imports inside functions: {own + foreign}, of our own modules {own}")


def timed(*words: str) -> float:
    """Return the shortest wall time in s of three runs of a command."""
    taken = []
    # As installed: modules compiled once, whatever the shell this runs in says.
    kept = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    for _ in range(3):
        begun = time.perf_counter()
        subprocess.run(words, check=True, stdout=subprocess.DEVNULL, env=kept)
        taken.append(time.perf_counter() - begun)
    return min(taken)


def repeated(panel: Path, wanted: int, into: Path) -> Path:
    """Return a copy of a panel folder with so many checkpoints, of other days and hours but the same readings."""
    copy = into / panel.name
    shutil.copytree(panel, copy)
    there = sorted((copy / "checkpoints").iterdir())
    for number in range(len(there), wanted):
        model = there[number % len(there)]
        hours = 10_000 + 100 * number
        made = copy / "checkpoints" / f"{2030 + number // 12}-{number % 12 + 1:02}-01-h{hours}"
        shutil.copytree(model, made)
        record = json.loads((made / "checkpoint.json").read_text(encoding="utf-8"))
        record |= {"hours": float(hours), "name": made.name}
        (made / "checkpoint.json").write_text(json.dumps(record), encoding="utf-8")
    return copy


def first(panel: Path, count: int, into: Path) -> Path:
    """Return a copy of a panel folder with its first checkpoints only."""
    copy = into / panel.name
    shutil.copytree(panel, copy)
    for late in sorted((copy / "checkpoints").iterdir())[count:]:
        shutil.rmtree(late)
    return copy


def print_costs(tree: Path, panel: Path) -> None:
    """Print calls, wall times, start-up and memory."""
    python, command = str(tree / ".venv/bin/python"), str(tree / ".venv/bin/panelwear")
    with tempfile.TemporaryDirectory() as made:
        three = first(panel, 3, Path(made) / "three")
        out = str(Path(made) / "report.html")
        called = subprocess.run([python, "-c", CALLS, str(three), out], check=True, capture_output=True, text=True)
        counted = dict(line.rsplit(" ", 1) for line in called.stdout.splitlines() if " " in line)
        print("calls in a report of 3 checkpoints: " + ", ".join(f"{n} {counted.get(n, 0)}" for n in WATCHED))
        checkpoints = len(list((panel / "checkpoints").iterdir()))
        print(f"compare, {checkpoints} checkpoints: {timed(command, 'compare', str(panel)):.1f} s")
        print(f"report, {checkpoints} checkpoints: {timed(command, 'report', str(panel), '--out', out):.1f} s")
        nothing = timed(python, "-c", "pass")
        for words in (["--help"], ["inspect", "--help"]):
            print(
                f"{' '.join(words)}: {timed(command, *words) / nothing:.1f} x python -c pass ({nothing * 1000:.0f} ms)"
            )
        many = repeated(panel, 24, Path(made) / "many")
        told = subprocess.run([command, "report", "--help"], check=True, capture_output=True, text=True).stdout
        # Copies under other names are not as they were sealed.
        words = [command, "report", str(many), "--out", out, *(["--as-it-is"] if "--as-it-is" in told else [])]
        subprocess.run(words, check=False, stdout=subprocess.DEVNULL)
        # The largest child is this report: nothing before it reads so many checkpoints.
        peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024
        print(f"report, 24 checkpoints: peak {peak:.0f} MB resident")


def main() -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("panel", nargs="?", type=Path)
    parser.add_argument("--tree", type=Path, default=HERE)
    asked = parser.parse_args()
    parsed = sources(asked.tree)
    print_lines(asked.tree, parsed)
    print_functions(parsed)
    if asked.panel is not None:
        print_costs(asked.tree, asked.panel)
    return 0


if __name__ == "__main__":
    sys.exit(main())
