"""Damage files of every kind in every way and read them with the commands: every one must end with a sentence.

Prints how many tries there were, how they ended, and each that ended in a fault of the program itself (exit code 6).
A coverage-guided run is not part of it: the damage is drawn from a seed, so that a find can be repeated.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import random
import sys
import tempfile
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from panelwear.cli import main
from panelwear.errors import OWN_FAULT
from panelwear.folder.checkpoint import READINGS, RECORD
from panelwear.readings import records
from panelwear.readings.marks import Mark
from panelwear.readings.row import Row

HOSTILE = (
    b"9" * 5000, b"1" + b"0" * 330, b"1e999", b"nan", b"-inf", b"null", b"[" * 3000, b"{" * 3000, b'"' * 3, b"\x00",
    b"\x1b[2J", b"\xef\xbb\xbf", b"\xff\xfe", b"0", b"-1", b"x" * 140_000, b"=1+1", b"\r\n", b"[]", b"{}", b"a.b = 1\n",
)  # fmt: skip
"""What files were seen to be damaged with, or are known to trip readers."""
ROOT = Path(__file__).resolve().parents[1]


@dataclass(frozen=True, slots=True)
class Fuzzed:
    """How damaged files ended."""

    ends: Counter[int]
    faults: tuple[str, ...]
    """What ended as a fault of the program itself."""


def seeds() -> dict[str, bytes]:
    """Make one sound file of each kind, by name."""
    shipped = {
        "instrument.toml": ROOT / "probe_io" / "instruments" / "scpi-colorimeter.toml",
        "sequence.toml": ROOT / "sequences" / "shipped" / "spot.toml",
    }
    panel = (
        b'name = "desk"\npixels = [1280, 720]\nactive_area_mm = [600.0, 340.0]\nrefresh_hz = 60.0\n'
        b'[response]\nkind = "power"\npeak_cd_m2 = 250.0\ngamma = 2.2\n'
        b'[[zones]]\nname = "left"\nrect_px = [0, 0, 256, 720]\nprobe_at_px = [128, 360]\n'
    )
    record = (
        b'{"format": "panelwear checkpoint 2", "panel": "desk", "status": "open", "hours": 10.0, "cycles": 0, '
        b'"started_utc": "2026-01-05T18:00:00Z", "closed_utc": null, "sessions": []}'
    )
    return {
        **{name: path.read_bytes() for name, path in shipped.items()},
        "panel.toml": panel,
        "probe.toml": b'instrument = "scpi-colorimeter"\nlink = "simulated"\naperture_mm = 10.0\n',
        "correction.toml": b'method = "four-colour"\ndate = "2026-01-05"\npanel = "desk"\nreference = "bench"\n'
        b"matrix = [[1.0,0.0,0.0],[0.0,1.0,0.0],[0.0,0.0,1.0]]\n",
        "usage.toml": b'[[stretches]]\nsince = "2026-01-05"\nhours_a_day = [7, 9]\nwhite_cd_m2 = 120\n'
        b'[[stretches.content]]\nzone = "left"\nshows = "white"\nshare = 0.9\n',
        RECORD: record,
        READINGS: records.header(Row) + b"1," * (len(records.names(Row)) - 1) + b"ok\r\n",
        "marks.csv": records.header(Mark) + b"1," * (len(records.names(Mark)) - 1) + b"\r\n",
    }


def damaged(data: bytes, draw: random.Random) -> bytes:
    """Return a file with one to four of its places cut, doubled, moved or overwritten."""
    for _ in range(draw.randint(1, 4)):
        start = draw.randint(0, len(data))
        end = min(len(data), start + draw.choice((0, 1, 2, 8, 40)))
        put = draw.choice((b"", draw.choice(HOSTILE), draw.randbytes(3), data[start:end] * 2))
        data = data[:start] + put + data[end:]
    return data


def fuzz(tries: int, seed: int, folder: Path) -> Fuzzed:
    """Check so many damaged files, one after another, under their own names in ``folder``."""
    draw, sound = random.Random(seed), seeds()
    ends: Counter[int] = Counter()
    faults = []
    for number in range(tries):
        name = draw.choice(sorted(sound))
        (folder / name).write_bytes(damaged(sound[name], draw))
        said = io.StringIO()
        with contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
            code = main(["check", str(folder / name)])
        (folder / name).unlink()
        ends[code] += 1
        if code == OWN_FAULT or "\x1b" in said.getvalue():
            faults.append(f"try {number}, {name}: {said.getvalue().strip()[:300]}")
    return Fuzzed(ends, tuple(faults))


def _main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tries", type=int, default=20_000)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        found = fuzz(arguments.tries, arguments.seed, Path(folder))
    print(f"tries {arguments.tries}; " + ", ".join(f"exit code {code}: {n}" for code, n in sorted(found.ends.items())))
    print(f"faults of the program: {len(found.faults)}")
    print("\n".join(found.faults[:50]))
    return 1 if found.faults else 0


if __name__ == "__main__":
    raise SystemExit(_main())
