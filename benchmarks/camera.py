"""Photographs against the truth: zones and a band of lost light, panels that did not change, by each way of the lens.

Every pair is two simulated shoots of one panel by one camera, which was put back on its marks between them; the second
time 16 zones are 1 % or 0.5 % darker, and a band that no zone names 1 %. Written as raw files, read, and compared as
``panelwear camera read`` and ``panelwear compare`` do; beside it, on the same files, a script of 60 lines
(``support/photograph_peer.py``). Sensor and panel have a quarter of the pixels (6 megapixels before 1920 x 1080), and
the same ratio of both, blur and noise; ``camera_full.py`` has 24 megapixels, and bad shoots.

Zones have surrounds of their own, so their noise is independent; the two levels of a shoot share an even surface, or
the sensor's own pattern. What an even surface lacks in evenness is drawn for each shoot.

    python benchmarks/camera.py [--shoots 40] [--ways even-surface,same-set-up,poses]
"""

from __future__ import annotations

import argparse
import math
import os
import tempfile
import time
from collections.abc import Iterable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from benchmarks.map_regions import meets, wilson
from benchmarks.support.photograph_peer import peer_map
from benchmarks.support.shoot_pairs import CHANGES, LEVELS, SMALL, Case, Size, Way, made, read_maps
from panelwear.camera.field_map import FieldMap
from panelwear.camera.wear.cells import owners
from panelwear.camera.wear.contrast import contrast
from panelwear.camera.wear.findings import MapEnd, PhotographPair, compare_photographs
from panelwear.camera.wear.pairing import ChangeMap, pair_maps
from panelwear.camera.wear.regions import find_regions
from panelwear.camera.wear.surround import surround_of
from panelwear.compare.comparison import End

ALL: tuple[Way, ...] = ("even-surface", "same-set-up", "poses")


@dataclass
class Tally:
    """What was found of one way."""

    size: Size = SMALL
    errors: dict[tuple[int, float], list[float]] = field(default_factory=dict)
    us: dict[tuple[int, float], list[float]] = field(default_factory=dict)
    peer: list[float] = field(default_factory=list)
    off_px: list[float] = field(default_factory=list)
    bands = others = nulls = false = 0
    refused: list[str] = field(default_factory=list)
    last: dict[bool, tuple[FieldMap, ...]] = field(default_factory=dict)

    def take_pair(self, pair: PhotographPair) -> None:
        """Hold a comparison against what was put in."""
        put_in = {name: change for name, _, change in self.size.zones()}
        for one in pair.zones:
            key = (LEVELS[0] if f" {LEVELS[0]} " in one.field else LEVELS[1], put_in[one.zone])
            self.errors.setdefault(key, []).append(one.change.value - 100 * put_in[one.zone])
            self.us.setdefault(key, []).append(one.change.u)
        there = [one for one in pair.regions if meets(one.rect, self.size.band())]
        self.bands += bool(there)
        self.others += len(there) < len(pair.regions)

    def take_null(self, maps: tuple[FieldMap, ...], *, worn: bool) -> None:
        """Compare a shoot with the one before it of the same panel in the same state: nothing changed."""
        if worn in self.last:
            self.nulls += 1
            self.false += bool(find_regions(pair_maps(self.last[worn], maps).changes, ()).regions)
        self.last[worn] = maps


def by_peer(pair: tuple[Case, Case], size: Size, *, surface: bool) -> list[float]:
    """Return the errors of the script's maps, zones held against their surrounds in the very same way."""
    errors = []
    zones = pair[0].panel.zones
    owner = owners(size.panel_px, zones)
    for level in LEVELS:
        then, now = (peer_map(case.of(f"grey-{level}cd"), case.of("even-surface") if surface else []) for case in pair)
        usable = (then > 0.05) & (now > 0.05)
        light = np.where(usable, now / np.where(usable, then, 1.0) - 1, 0.0).astype(np.float32)
        u = np.full_like(light, 0.003)
        one = ChangeMap(
            pair[0].shot(f"grey-{level}cd"), size.panel_px, light, u, usable, 0.0, 0.004,
            for_showing=False, simulated=True,
        )  # fmt: skip
        for number, zone in enumerate(zones):
            cells = surround_of(number, zones, owner) if zone.reference else None
            if cells is not None:
                put_in = next(change for name, _, change in size.zones() if name == zone.name)
                errors.append(contrast(one, cells.inside, cells.around, ("", "")).value - 100 * put_in)
    return errors


def one_pair(number: int, poses: bool, ways: Iterable[Way], tallies: dict[Way, Tally], *, with_peer: bool) -> None:
    with tempfile.TemporaryDirectory() as folder:
        then, now = (made(Path(folder) / str(w), SMALL, number, worn=w, poses=poses) for w in (False, True))
        for way in ways:
            tally = tallies[way]
            maps = []
            for case, worn in ((then, False), (now, True)):
                read = read_maps(case, way)
                maps.append(tuple(one.map for one in read.fields if one.map is not None))
                tally.refused += [one.judged.refused for one in read.fields if one.judged.refused]
                tally.off_px.append(case.registration_px(read.set_up.view))
                tally.take_null(maps[-1], worn=worn)
            ends = [MapEnd(End(name, 0.0, ""), each) for name, each in zip(("then", "now"), maps, strict=True)]
            tally.take_pair(compare_photographs("baseline", ends[0], ends[1], then.panel.zones))
            if with_peer:
                tally.peer += by_peer((then, now), SMALL, surface=way == "even-surface")


def tables(tallies: dict[Way, Tally], pairs: int) -> str:
    """Return both tables, of so many pairs."""
    lines = ["| change of a zone | shoots | zones | rms error | greatest | rms of u | inside the 95 % interval |"]
    lines += ["|---|---|---|---|---|---|---|"]
    for way, tally in tallies.items():
        lines += said(way, tally, 2 * pairs)
    lines += ["", "| regions | any, nothing changed | band of 1 % found | pairs with others | registration | refused |"]
    lines += ["|---|---|---|---|---|---|"]
    return "\n".join([*lines, *(regions_said(way, tally, pairs) for way, tally in tallies.items())])


def rms(values: Iterable[float]) -> float:
    """Return the root of the mean square."""
    return math.sqrt(np.mean(np.square(list(values))))


def said(way: Way, tally: Tally, shoots: int) -> list[str]:
    """Return the rows of one way."""
    each = {
        f"{way}, {level} cd/m², {100 * change:g} %": (tally.errors[level, change], tally.us[level, change])
        for level in LEVELS
        for change in CHANGES
    }
    each[f"**{way}, all**"] = (
        [one for errors in tally.errors.values() for one in errors],
        [one for us in tally.us.values() for one in us],
    )
    lines = []
    for name, (errors, us) in each.items():
        inside = int((np.abs(errors) < 1.96 * np.array(us)).sum())
        low, high = wilson(inside, len(errors))
        lines.append(
            f"| {name} | {shoots} | {len(errors)} | {rms(errors):.4f} % | {np.abs(errors).max():.4f} % |"
            f" {rms(us):.4f} % | {100 * inside / len(errors):.1f} % ({low:.1f} to {high:.1f}) |"
        )
    if tally.peer:
        greatest = max(map(abs, tally.peer))
        lines.append(f"| a script of 60 lines | | {len(tally.peer)} | {rms(tally.peer):.4f} % | {greatest:.4f} % | | |")
    return lines


def regions_said(way: Way, tally: Tally, pairs: int) -> str:
    """Return what was found of regions by one way."""
    nulls, band = wilson(tally.false, max(tally.nulls, 1)), wilson(tally.bands, pairs)
    return (
        f"| {way} | {tally.false} of {tally.nulls} ({nulls[0]:.0f} to {nulls[1]:.0f} %) | {tally.bands} of {pairs}"
        f" ({band[0]:.0f} to {band[1]:.0f} %) | {tally.others} | {rms(tally.off_px):.3f} px | {len(tally.refused)} |"
    )


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--shoots", type=int, default=40, help="shoots a row, two to a pair (40)")
    asked.add_argument("--ways", default=",".join(ALL))
    asked.add_argument("--peer-shoots", type=int, default=10, help="of how many the script of 60 lines is run too (10)")
    asked.add_argument("--out", type=Path, help="the tables so far, after each pair")
    wish = asked.parse_args()
    tallies = {way: Tally() for way in ALL if way in wish.ways.split(",")}
    began, spent = time.time(), time.process_time()
    told = ""
    for number in range(1, wish.shoots // 2 + 1):
        for poses in (False, True):
            own = [way for way in tallies if (way == "poses") == poses]
            if own:
                one_pair(number, poses, own, tallies, with_peer=2 * number <= wish.peer_shoots)
        took = f"{time.time() - began:.0f} s, {time.process_time() - spent:.0f} s of processor time"
        told = f"{tables(tallies, number)}\n\n{took}, load {os.getloadavg()[2]:.0f}"
        if wish.out:
            wish.out.write_text(told)
    print(told)


if __name__ == "__main__":
    main()
