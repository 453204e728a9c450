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
    noise: list[float] = field(default_factory=list)
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
            self.noise += [part.u for part in one.change.components if part.name == "noise"]
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


def one_pair(number: int, poses: bool, ways: Iterable[Way], tallies: dict[Way, Tally]) -> None:
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
            tally.peer += by_peer((then, now), SMALL, surface=way == "even-surface")


def rms(values: Iterable[float]) -> float:
    return math.sqrt(np.mean(np.square(list(values))))


def said(way: Way, tally: Tally, shoots: int) -> None:
    for level in LEVELS:
        for change in CHANGES:
            errors, us = np.array(tally.errors[level, change]), np.array(tally.us[level, change])
            inside = int((np.abs(errors) < 1.96 * us).sum())
            low, high = wilson(inside, len(errors))
            print(
                f"| {way}, {level} cd/m², {100 * change:g} % | {shoots} | {len(errors)} | {rms(errors):.4f} % |"
                f" {np.abs(errors).max():.4f} % | {rms(us):.4f} % | {100 * inside / len(errors):.1f} %"
                f" ({low:.1f} to {high:.1f}) |"
            )
    errors, us = (np.concatenate([np.array(each[key]) for key in each]) for each in (tally.errors, tally.us))
    inside = int((np.abs(errors) < 1.96 * us).sum())
    low, high = wilson(inside, len(errors))
    print(
        f"| **{way}, all** | {shoots} | {len(errors)} | {rms(errors):.4f} % | {np.abs(errors).max():.4f} % |"
        f" {rms(us):.4f} % (noise {rms(tally.noise):.4f} %) | **{100 * inside / len(errors):.1f} %**"
        f" ({low:.1f} to {high:.1f}) |"
    )
    print(
        f"| &nbsp; a script of 60 lines | {shoots} | {len(tally.peer)} | {rms(tally.peer):.4f} % |"
        f" {max(map(abs, tally.peer)):.4f} % | | |",
        flush=True,
    )


def regions_said(way: Way, tally: Tally, pairs: int) -> None:
    nulls, band = wilson(tally.false, tally.nulls), wilson(tally.bands, pairs)
    print(
        f"| {way} | {tally.false} of {tally.nulls} ({nulls[0]:.0f} to {nulls[1]:.0f} %) | {tally.bands} of {pairs}"
        f" ({band[0]:.0f} to {band[1]:.0f} %) | {tally.others} | {rms(tally.off_px):.3f} px | {len(tally.refused)} |"
    )


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--shoots", type=int, default=40, help="shoots a row, two to a pair (40)")
    asked.add_argument("--ways", default=",".join(ALL))
    wish = asked.parse_args()
    ways = [way for way in ALL if way in wish.ways.split(",")]
    tallies = {way: Tally() for way in ways}
    began, spent = time.time(), time.process_time()
    pairs = wish.shoots // 2
    for number in range(1, pairs + 1):
        for poses in (False, True):
            own = [way for way in ways if (way == "poses") == poses]
            if own:
                one_pair(number, poses, own, tallies)
    print("| change of a zone | shoots | zones | rms error | greatest | rms of u | inside the 95 % interval |")
    print("|---|---|---|---|---|---|---|")
    for way in ways:
        said(way, tallies[way], wish.shoots)
    print(
        "\n| regions | any, nothing changed | band of 1 % found | pairs with others | registration | fields refused |"
    )
    print("|---|---|---|---|---|---|")
    for way in ways:
        regions_said(way, tallies[way], pairs)
    print(f"\n{time.time() - began:.0f} s, {time.process_time() - spent:.0f} s of processor time")


if __name__ == "__main__":
    main()
