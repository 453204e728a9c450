"""A panel folder written from the tables of docs/ alone: nothing of the program is imported here.

The panel is made of three channels with a power response of 2.2. At the second checkpoint each channel has kept what
``Wear`` says, and the zone has kept that much of what its reference gives.
"""

from __future__ import annotations

import csv
import hashlib
import json
import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path

from tests.documents.tables import Table, table

FOLDER, CSV, PHOTOGRAPHS = "docs/panel-folder.md", "docs/csv.md", "docs/photographs.md"
PANEL_KEYS = table(FOLDER, "key", "type", "needed", "unit")
ZONE_KEYS = table(FOLDER, "key of [[zones]]")
RECORD_KEYS = table(FOLDER, "key", "type", "needed", "meaning")
SESSION_KEYS = table(FOLDER, "key of a session")
SEGMENT_KEYS = table(FOLDER, "key of a segment")
SHOOT_KEYS, SHOT_KEYS = table(FOLDER, "key of a shoot"), table(FOLDER, "key of a shot")
LIST_KEYS, SHOTS_KEYS = table(PHOTOGRAPHS, "key of a list"), table(PHOTOGRAPHS, "key of [[shots]]")
SHOT_KINDS = [row["kind"] for row in table(PHOTOGRAPHS, "kind", "what")]
COLUMNS = table(CSV, "column", "type", "unit", "meaning", under="readings.csv")
MAY_BE_EMPTY = {row["column"] for row in table(CSV, "column", "when it is empty")}
PURPOSES = {row["purpose"]: row["example"] for row in table(CSV, "purpose")}
PAIRS = table(CSV, "pair", "place")
HUES = {row["hue"]: tuple(int(row[name]) for name in ("red", "green", "blue")) for row in table(CSV, "hue")}
GEOMETRIES = {row["geometry"]: row for row in table(CSV, "geometry")}
LEVELS = {row["level"][0]: row["level_basis"] for row in table(CSV, "level")}

PX, ZONE, REFERENCE = (1920, 1080), "list", "chart"
PEAK = ((80.0, 40.0, 4.0), (70.0, 140.0, 24.0), (36.0, 14.0, 190.0))
"""X, Y, Z in cd/m² of each channel at full drive; invented."""
BLACK, GAMMA = 0.02, 2.2
SCATTER = 0.001
"""Standard deviation of one reading, as a share of its light."""
READS = 5
Needed = dict[str, object]


@dataclass(frozen=True)
class Wear:
    """What is left, as shares."""

    channels: tuple[float, float, float] = (1.0, 1.0, 1.0)
    zone: float = 1.0


@dataclass
class Writer:
    """Rows of one ``readings.csv``."""

    wear: Wear
    chance: random.Random
    begun: datetime
    rows: list[dict[str, str]] = field(default_factory=list)
    visit: int = 0
    at_s: float = 30.0

    def read(self, purpose: str, key: str, pair: str = "") -> None:
        """Read one patch ``READS`` times."""
        _, place, hue, level, _ = key.split("/")
        light = XYZ(drive(hue, level), self.wear, place)
        for repeat in range(1, READS + 1):
            self.at_s += 2.0
            factor = 1 + self.chance.gauss(0, SCATTER)
            read = [value * factor * (1 + self.chance.gauss(0, SCATTER / 3)) for value in light]
            self.rows.append(self._row(purpose, key, pair, repeat, read))

    def _row(self, purpose: str, key: str, pair: str, repeat: int, light: list[float]) -> dict[str, str]:
        _, place, hue, level, geometry = key.split("/")
        X, Y, Z = (float(f"{value:.7g}") for value in light)
        pattern, rect, share = shown(geometry)
        red, green, blue = drive(hue, level)
        held: dict[str, object] = {
            "row": len(self.rows) + 1,
            "session": 1,
            "visit": self.visit,
            "pair": pair,
            "time_utc": moment(self.begun + timedelta(seconds=self.at_s)),
            "monotonic_s": self.at_s,
            "step": self.visit,
            "patch": key,
            "purpose": purpose,
            "place": place,
            "pattern": pattern,
            "red": red,
            "green": green,
            "blue": blue,
            "background": "0 0 0",
            "rect_px": " ".join(map(str, rect)),
            "lit_share": share,
            "target_cd_m2": level[1:] if level[0] == "Y" else "",
            "level_basis": LEVELS[level[0]],
            "repeat": repeat,
            "X_cd_m2": X,
            "Y_cd_m2": Y,
            "Z_cd_m2": Z,
            "x": f"{X / (X + Y + Z):.6f}",
            "y": f"{Y / (X + Y + Z):.6f}",
            "integration_s": 0.5,
            "settled_s": 1 + repeat,
            "geometry_sha256": hashlib.sha256(f"{pattern} {rect} {PX}".encode()).hexdigest(),
            "frame_sha256": "not kept",
            "flags": "ok",
        }
        return {column["column"]: filled(column, held) for column in COLUMNS}


def filled(column: dict[str, str], held: dict[str, object]) -> str:
    """Return a cell as the table of columns wants it; a column that is not known here may only stay empty."""
    name = column["column"]
    cell = str(held.get(name, ""))
    assert cell or name in MAY_BE_EMPTY, f"{name}: the docs say it is never empty"
    if cell and column["type"] in {"integer", "number"}:
        (int if column["type"] == "integer" else float)(cell)
    return cell


def drive(hue: str, level: str) -> tuple[float, float, float]:
    """Return the drive codes of a patch, by the tables of hues and levels."""
    top = XYZ((255.0, 255.0, 255.0), Wear(), "")[1]
    code = float(level[1:]) if level[0] == "c" else 255 * (float(level[1:]) / top) ** (1 / GAMMA)
    red, green, blue = (code * on for on in HUES[hue])
    return red, green, blue


def XYZ(codes: tuple[float, float, float], wear: Wear, place: str) -> list[float]:
    """Return the light of some codes at a place."""
    kept = [left * (wear.zone if place == ZONE else 1.0) for left in wear.channels]
    by = [share * (code / 255) ** GAMMA for code, share in zip(codes, kept, strict=True)]
    return [BLACK + sum(a * channel[i] for a, channel in zip(by, PEAK, strict=True)) for i in range(3)]


def shown(geometry: str) -> tuple[str, tuple[int, int, int, int], float]:
    """Return pattern, rectangle and lit share of a geometry, by the table of geometries."""
    row = GEOMETRIES.get(geometry) or GEOMETRIES["w10"]
    share = float(geometry[1:]) / 100 if geometry[0] == "w" else 1.0
    w, h = (round(side * share**0.5) for side in PX)
    return row["pattern"], ((PX[0] - w) // 2, (PX[1] - h) // 2, w, h), share


def moment(at: datetime) -> str:
    """Write a moment as the docs say."""
    return at.isoformat(timespec="milliseconds").replace("+00:00", "Z")


def like(purpose: str, *, place: str = "", hue: str = "", level: str = "") -> str:
    """Return the example of a purpose with other parts."""
    group, there, colour, code, geometry = PURPOSES[purpose].split("/")
    return "/".join((group, place or there, hue or colour, level or code, geometry))


def centre_patches() -> Iterator[tuple[str, str]]:
    """Return purpose and key of what is read at the centre: every example of the docs, and what goes with it."""
    for purpose, example in PURPOSES.items():
        if purpose not in {"zone", "grid"}:
            yield purpose, example
    for hue in ("red", "green", "blue", "grey"):
        yield "primary", like("primary", hue=hue)
    for code in (32, 64, 96, 160, 192, 255):
        yield "ramp", like("ramp", level=f"c{code}")
    yield "reference", like("reference")


def readings(wear: Wear, begun: datetime, seed: int) -> list[dict[str, str]]:
    """Return the rows of one checkpoint."""
    writer = Writer(wear, random.Random(seed), begun)
    writer.visit = 1
    for purpose, key in dict.fromkeys(centre_patches()):
        writer.read(purpose, key)
    for place in ("x100y100", "x900y900"):
        writer.visit += 1
        writer.read("grid", like("grid", place=place))
    for pair in PAIRS:
        writer.visit += 1
        for code in ("c64", "c128", "c192"):
            key = like("zone", place={"zone": ZONE, "reference": REFERENCE}[pair["place"]], level=code)
            writer.read("zone", key, pair["pair"].replace("NAME", ZONE))
    return writer.rows


def needed(keys: Table, held: Needed) -> Needed:
    """Keep what the docs say is needed; every needed key must be known here."""
    first = next(iter(keys[0]))
    wanted = [row[first] for row in keys if row["needed"] == "yes"]
    assert set(wanted) <= set(held), f"the docs want {set(wanted) - set(held)}"
    assert set(held) <= {row[first] for row in keys}, "a key that the docs do not know"
    return held


def toml(name: str, value: object) -> str:
    """Write one line of a TOML file."""
    return f"{name} = {json.dumps(value)}\n"


def write_panel(folder: Path) -> None:
    """Write ``panel.toml``."""
    panel = needed(PANEL_KEYS, {"name": "by the docs", "pixels": PX, "active_area_mm": (597.0, 336.0)})
    zones = (
        {"name": REFERENCE, "rect_px": (0, 0, *PX)},
        {"name": ZONE, "rect_px": (0, 0, 400, PX[1]), "reference": REFERENCE},
    )
    text = "".join(toml(key, value) for key, value in panel.items())
    for zone in zones:
        text += "\n[[zones]]\n" + "".join(toml(key, value) for key, value in needed(ZONE_KEYS, zone).items())
    folder.mkdir(parents=True)
    (folder / "panel.toml").write_text(text, encoding="utf-8")


def write_checkpoint(folder: Path, hours: float, begun: datetime, wear: Wear, seed: int) -> Path:
    """Write one checkpoint and return its folder."""
    own = folder / "checkpoints" / f"{begun.date().isoformat()}-h{hours:g}"
    own.mkdir(parents=True)
    session = needed(
        SESSION_KEYS,
        {
            "number": 1,
            "sequence": "by-the-docs",
            "sequence_file": "sequence.txt",
            "status": "done",
            "seed": seed,
            "segments": [needed(SEGMENT_KEYS, {"first_row": 1})],
            "probe": {"serial": "77"},
        },
    )
    record = needed(
        RECORD_KEYS,
        {
            "format": next(row["meaning"] for row in RECORD_KEYS if row["key"] == "format"),
            "hours": hours,
            "status": "open",
            "started_utc": moment(begun),
            "sessions": [session],
        },
    )
    (own / "checkpoint.json").write_text(json.dumps(record), encoding="utf-8")
    (own / "sequence.txt").write_text("as another program runs it\n", encoding="utf-8")
    with (own / "readings.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, [column["column"] for column in COLUMNS], lineterminator="\r\n")
        writer.writeheader()
        writer.writerows(readings(wear, begun, seed))
    return own


def write_shoot(checkpoint: Path, begun: datetime) -> Path:
    """Write a shoot of two shots with the list it is of; returns its record's path."""
    own = checkpoint / "shoots"
    own.mkdir()
    shots = ({"kind": SHOT_KINDS[0]}, {"kind": "fields", "codes": [128]})
    whole = needed(LIST_KEYS, {"name": "by-the-docs", "description": "Dots and a field.", "shots": shots})
    text = "".join(toml(key, value) for key, value in whole.items() if key != "shots")
    for one in shots:
        text += "\n[[shots]]\n" + "".join(toml(key, value) for key, value in needed(SHOTS_KEYS, one).items())
    (own / "shoot-1.toml").write_text(text, encoding="utf-8")
    stood = {"from_utc": moment(begun), "to_utc": moment(begun + timedelta(seconds=30))}
    record = needed(
        SHOOT_KEYS,
        {
            "format": next(row["meaning"] for row in SHOOT_KEYS if row["key of a shoot"] == "format"),
            "shoot": "shoot-1",
            "list_name": "by-the-docs",
            "list_sha256": hashlib.sha256(text.encode()).hexdigest(),
            "status": "done",
            "seed": 0,
            "started_utc": moment(begun),
            "shots": [
                needed(SHOT_KEYS, {"name": "dots", "kind": "dots", "frames": 2, **stood}),
                needed(SHOT_KEYS, {"name": "grey-c128", "kind": "field", "frames": 8, "codes": [128] * 3, **stood}),
            ],
        },
    )
    (own / "shoot-1.json").write_text(json.dumps(record), encoding="utf-8")
    return own / "shoot-1.json"


def write_folder(folder: Path, wear: Wear) -> tuple[Path, Path]:
    """Write a panel folder with two checkpoints, the later one worn; returns their folders."""
    write_panel(folder)
    first, second = datetime(2026, 1, 5, 18, tzinfo=UTC), datetime(2026, 4, 6, 18, tzinfo=UTC)
    baseline = write_checkpoint(folder, 0, first, Wear(), 1)
    write_shoot(baseline, first)
    return baseline, write_checkpoint(folder, 900, second, wear, 2)
