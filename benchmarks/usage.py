"""What usage costs: reducing screenshots of 3840 x 2160 to a dose map, and doses from a person's daily table.

Prints one table. The screenshots are drawn noise, in blocks of 8 px, which compresses worse than any desktop.
"""

from __future__ import annotations

import argparse
import random
import resource
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import TypeVar

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

import numpy as np
from PIL import Image

from panelwear.folder.hours import HoursOfUse
from panelwear.folder.panel import Panel
from panelwear.panel.assumed import assumed_response
from panelwear.simulation.usage import ACTIVE_AREA_MM, harbour_desk_zones
from panelwear.usage.maps import packed
from panelwear.usage.records import Usage
from panelwear.usage.screens import reduce_folder
from panelwear.usage.table import read_table
from panelwear.usage.told import Begun, told_of

T = TypeVar("T")
SIZE = (3840, 2160)
RESPONSE = assumed_response({"kind": "power", "gamma": 2.2, "peak_cd_m2": 240.0})
BEGAN = date(2024, 1, 1)


def timed(action: Callable[[], T]) -> tuple[T, float]:
    """Return what an action gives, and its processor time in s."""
    began = time.process_time()
    found = action()
    return found, time.process_time() - began


def screenshots(number: int, folder: Path) -> tuple[float, int]:
    """Return processor seconds a picture, and bytes of the map."""
    draw = np.random.default_rng(1)
    for i in range(number):
        blocks = draw.integers(0, 256, (SIZE[1] // 8, SIZE[0] // 8, 3), dtype=np.uint8)
        Image.fromarray(blocks.repeat(8, 0).repeat(8, 1)).save(folder / f"{i}.png", compress_level=1)
    found, seconds = timed(lambda: reduce_folder(folder, SIZE, RESPONSE))
    return seconds / number, len(packed(found.map))


def daily(days: int) -> float:
    """Return processor seconds from a table of so many days to the doses of five zones at five checkpoints."""
    draw = random.Random(1)
    lines = [f"{BEGAN + timedelta(i)},{draw.randint(4, 12)},mid {draw.randint(1, 99)} %" for i in range(days)]
    table = "\n".join(("date,hours,shows", *lines, f"{BEGAN + timedelta(days)},,")).encode()
    panel = Panel(
        Path("nowhere"), "harbour-desk", 1280, 720, ACTIVE_AREA_MM, 60, 600, zones=harbour_desk_zones(1280, 720)
    )
    ends = [Begun(f"c{i}", str(BEGAN + timedelta(days * i // 4)), HoursOfUse(2.0 * days * i)) for i in range(5)]
    return timed(lambda: told_of(panel, Usage(read_table(table, "own.csv", (), {})), ends, RESPONSE))[1]


def _main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pictures", type=int, default=5)
    arguments = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        seconds, size = screenshots(arguments.pictures, Path(folder))
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"{'a screenshot of 3840 x 2160 reduced':<48}{seconds:8.2f} s")
    print(f"{'its dose map':<48}{size / 1e6:8.1f} MB")
    print(f"{'peak memory':<48}{peak:8.0f} MB")
    for days in (31, 365, 1000):
        print(f"{f'doses from a table of {days} days':<48}{daily(days):8.2f} s")
    return 0


if __name__ == "__main__":
    raise SystemExit(_main())
