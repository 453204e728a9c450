"""The comparison a person would write by hand with pandas: means of each patch, first checkpoint against the last.

``python -m benchmarks.support.pandas_means ROOT``: for each panel below ROOT the change of white and of each channel,
and of each zone against its reference, in per cent, as CSV. Nothing is taken out, and nothing says how sure it is.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pandas as pd

COLUMNS = ["patch", "pair", "Y_cd_m2", "flags"]
HUES = ("red", "green", "blue", "grey")


def means_of(path: Path) -> tuple[pd.Series, pd.Series]:
    """Return the mean luminance of each patch, and of each zone and its reference at each colour."""
    table = pd.read_csv(path, usecols=COLUMNS)
    table = table[(table["flags"] == "ok") & table["Y_cd_m2"].notna()]
    zones = table[table["pair"].notna()].copy()
    zones["zone"] = zones["pair"].str.rsplit(".", n=1).str[0]
    zones["own"] = zones["pair"].str[-1].isin(["1", "4"])
    parts = zones["patch"].str.split("/")
    zones["colour"] = parts.str[2] + "/" + parts.str[3]
    return table.groupby("patch")["Y_cd_m2"].mean(), zones.groupby(["zone", "colour", "own"])["Y_cd_m2"].mean()


def changes_of(panel: Path) -> dict[str, float]:
    """Return the changes of one panel from its first checkpoint to its last, in %."""
    hours = {
        json.loads(p.read_text(encoding="utf-8"))["hours"]: p.parent
        for p in panel.glob("checkpoints/*/checkpoint.json")
    }
    (then, zones_then), (now, zones_now) = (means_of(hours[at] / "readings.csv") for at in (min(hours), max(hours)))
    found = {}
    for hue in HUES:
        key = f"primary/centre/{hue}/c255/w10"
        found["white" if hue == "grey" else hue] = 100 * (now[key] / then[key] - 1)
    ratio = zones_now.xs(True, level="own") / zones_now.xs(False, level="own")
    before = zones_then.xs(True, level="own") / zones_then.xs(False, level="own")
    grey = ratio / before
    grey = grey[grey.index.get_level_values("colour").str.startswith("grey/")].groupby("zone").mean()
    return found | {f"zone/{zone}": 100 * (value - 1) for zone, value in grey.items()}


def main() -> None:
    """Print a row a panel."""
    panels = sorted(path.parent for path in Path(sys.argv[1]).glob("*/panel.toml"))
    frame = pd.DataFrame([changes_of(panel) for panel in panels], index=[panel.name for panel in panels])
    frame.round(3).to_csv(sys.stdout)


if __name__ == "__main__":
    main()
