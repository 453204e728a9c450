"""Let a coverage-guided fuzzer look for bytes that make a reader fail: every one may only raise errors of its tree.

``python -m benchmarks.guided_fuzz [--seconds 120] [--only NAME]``: so long for each reader, each in a process of its
own. Prints the inputs tried, the lines of the program they reached, and each fault with the file that holds its input;
a reader that takes longer than ten seconds over one input is a fault too. Needs ``pip install -e ".[fuzz]"``.
"""

from __future__ import annotations

import argparse
import importlib.util
import re
import subprocess
import sys
import tempfile
import warnings
from dataclasses import dataclass
from pathlib import Path

MISSING = "guided_fuzz needs the package atheris: pip install -e '.[fuzz]' installs it; nothing was tried"
STUCK_S = 10
LARGEST_BYTES = 8192
_TOLD = re.compile(r"^#(\d+)\s+\w+\s+cov: (\d+)", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Guided:
    """What became of one reader."""

    tries: int
    reached: int
    """Edges of the program's code that were reached."""
    faults: tuple[str, ...]


def _hunt(name: str, seconds: int, folder: Path) -> None:
    """Try inputs in this process until the time is over; never returns."""
    import atheris

    with atheris.instrument_imports(include=["groundwork", "panelwear", "probe_io", "sequences", "tomllib", "csv"]):
        from benchmarks.support.readers import judged, readers

    reader = readers(folder / "work")[name]
    (folder / "corpus" / "sound").write_bytes(reader.sound)
    words = sorted(set(re.findall(rb"[\w.-]{2,30}", reader.sound)))
    (folder / "words").write_text("".join(f'"{word.decode()}"\n' for word in words), encoding="ascii")
    found: set[str] = set()
    warnings.simplefilter("error")  # a warning of a library is no sentence for a person either

    def one(data: bytes) -> None:
        said = judged(reader.read, data)
        place = said.partition(":")[0]
        if said and place not in found:
            found.add(place)
            (folder / "faults" / f"{len(found)}").write_bytes(data)
            print(f"FAULT {len(found)} {said}", file=sys.stderr, flush=True)

    options = [f"-max_total_time={seconds}", f"-timeout={STUCK_S}", f"-max_len={LARGEST_BYTES}"]
    places = [f"-artifact_prefix={folder / 'faults'}/", f"-dict={folder / 'words'}", str(folder / "corpus")]
    atheris.Setup([sys.argv[0], *options, *places], one)
    atheris.Fuzz()


def hunt(name: str, seconds: int, keep: Path) -> Guided:
    """Let one reader be tried in a process of its own; inputs that made it fail are kept in ``keep``."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        for below in ("work", "corpus", "faults"):
            (folder / below).mkdir()
        words = [sys.executable, "-m", "benchmarks.guided_fuzz", "--hunt", place, "--only", name]
        done = subprocess.run(
            [*words, "--seconds", str(seconds)], check=False, capture_output=True, text=True, errors="replace"
        )
        faults = re.findall(r"^FAULT \d+ (.*)$", done.stderr, re.MULTILINE)
        for kept in sorted((folder / "faults").iterdir()):
            keep.mkdir(parents=True, exist_ok=True)
            kept.replace(keep / f"{name}-{kept.name}")
            if not kept.name.isdigit():  # the fuzzer's own: a time-out, the memory, a crash of the interpreter
                faults.append(f"{kept.name.partition('-')[0]}, see {keep / f'{name}-{kept.name}'}")
    told = _TOLD.findall(done.stderr)
    if not told:
        faults.append(f"did not run: {done.stderr.strip()[-300:]}")
    return Guided(*(map(int, told[-1]) if told else (0, 0)), tuple(faults))


def main() -> int:
    """Hunt in every reader; 1 when one has a fault."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=int, default=120, help="for each reader (120)")
    parser.add_argument("--only", metavar="NAME", help="one reader")
    parser.add_argument("--keep", type=Path, default=Path("fuzz-faults"), help="where inputs that fail go to")
    parser.add_argument("--hunt", type=Path, help=argparse.SUPPRESS)
    arguments = parser.parse_args()
    if importlib.util.find_spec("atheris") is None:
        print(MISSING, file=sys.stderr)
        return 2
    if arguments.hunt is not None:
        _hunt(arguments.only, arguments.seconds, arguments.hunt)
    from benchmarks.support.readers import readers

    names = [name for name in readers(Path()) if arguments.only in {None, name}]
    if not names:
        parser.error(f"there is no reader '{arguments.only}'")
    print(f"{'reader':<14}{'inputs':>10}{'edges':>8}{'faults':>8}")
    wrong = 0
    for name in names:
        found = hunt(name, arguments.seconds, arguments.keep)
        print(f"{name:<14}{found.tries:>10}{found.reached:>8}{len(found.faults):>8}", flush=True)
        for fault in found.faults:
            print(f"    {fault}", flush=True)
        wrong += len(found.faults)
    return int(wrong > 0)


if __name__ == "__main__":
    sys.exit(main())
