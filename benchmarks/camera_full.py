"""Whole shoots read by ``panelwear camera read``: pairs at 24 megapixels, and shoots that went wrong.

Pairs: errors of 16 zones beside those of a script of 60 lines on the same files, registration, seconds and peak memory
a raw file. Faults: how each shoot of each kind ends, at 6 megapixels (the same ratio of camera pixels to panel pixels)
or at 24.

    python benchmarks/camera_full.py [--pairs N] [--faults SEEDS] [--full] [--kind moire]
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from benchmarks.camera import Tally, by_peer, rms
from benchmarks.support.shoot_pairs import FULL, SMALL, Case, Size, Way, made
from panelwear.camera.map_files import load_map
from panelwear.camera.photographs.view import PanelView
from panelwear.camera.wear.findings import MapEnd, compare_photographs
from panelwear.compare.comparison import End
from panelwear.folder.files import load_json
from panelwear.simulation.camera.faults import Fault, faults

JPEG = "jpeg"
BLIND: tuple[Fault, ...] = ("cut-off",)
"""What hides the title card: the person says whose the photographs are."""


ITS_OWN_PEAK = """
import re, runpy, sys
try:
    runpy.run_module("panelwear", run_name="__main__", alter_sys=True)
finally:
    print(re.search(r"VmHWM:.*", open("/proc/self/status").read()).group(), file=sys.stderr)
"""
"""Runs the program and says the most memory it held (Linux). What ``getrusage`` says of children counts what this
process held when it made them."""


@dataclass(frozen=True)
class Read:
    """How ``panelwear camera read`` went."""

    code: int
    said: str
    s_a_file: float
    peak_gb: float


def read(case: Case, *more: str) -> Read:
    """Read a shoot in a process of its own."""
    words = ["camera", "read", str(case.root), *map(str, case.files), *more]
    start = time.perf_counter()
    done = subprocess.run([sys.executable, "-c", ITS_OWN_PEAK, *words], capture_output=True, text=True, check=False)
    took_s = (time.perf_counter() - start) / len(case.files)
    told, _, peak = done.stderr.rpartition("VmHWM:")
    return Read(done.returncode, done.stdout + told, took_s, int(peak.split()[0]) * 1024 / 1e9)


def end_of(case: Case, name: str) -> MapEnd:
    """Return the maps of a shoot as a comparison takes them."""
    paths = sorted((case.checkpoint / "maps").glob("grey-*.json"))
    return MapEnd(End(name, 0.0, ""), tuple(load_map(path) for path in paths))


def found_view(case: Case) -> PanelView:
    """Return where the panel was found."""
    told = load_json(case.checkpoint / "maps" / "read.json")["registration"]
    frame = tuple(case.truth["views"][0]["frame_px"])
    return PanelView(
        FULL.panel_px, frame, np.array(told["homography"]), tuple(told["centre_px"]), told["k1"], told["k2"]
    )


def pairs(count: int) -> None:
    print("| 24 MP | shoots | zones | rms error | rms of u | inside | 60-line script | found to | s a raw | peak |")
    print("|---|---|---|---|---|---|---|---|---|---|")
    ways: tuple[Way, ...] = ("even-surface", "same-set-up", "poses")
    tallies = {way: Tally(FULL) for way in ways}
    reads: dict[Way, list[Read]] = {way: [] for way in ways}
    for number in range(1, count + 1):
        for poses in (False, True):
            with tempfile.TemporaryDirectory() as folder:
                then, now = (made(Path(folder) / str(w), FULL, number, worn=w, poses=poses) for w in (False, True))
                for way in ways[2:] if poses else ways[:2]:
                    reads[way] += [read(case, "--shading", way) for case in (then, now)]
                    ends = end_of(then, "then"), end_of(now, "now")
                    tallies[way].take_pair(compare_photographs("baseline", *ends, then.panel.zones))
                    tallies[way].off_px += [case.registration_px(found_view(case)) for case in (then, now)]
                    tallies[way].peer += by_peer((then, now), FULL, surface=way == "even-surface")
    for way, one in tallies.items():
        errors, us = (np.concatenate(list(each.values())) for each in (one.errors, one.us))
        inside = 100 * float(np.mean(np.abs(errors) < 1.96 * us))
        print(
            f"| {way} | {2 * count} | {len(errors)} | {rms(errors):.4f} % | {rms(us):.4f} % | {inside:.0f} % |"
            f" {rms(one.peer):.4f} % | {rms(one.off_px):.3f} px | {np.mean([r.s_a_file for r in reads[way]]):.1f} |"
            f" {max(r.peak_gb for r in reads[way]):.2f} GB |"
        )


def ended(case: Case, *more: str) -> str:
    """Say how a reading ended, in one word, and why, in the program's own."""
    done = read(case, *more)
    code, said = done.code, done.said
    grey = [one.map for one in _fields(case)] if code in {0, 2} else []
    plain = " ".join(said.split())
    if code and not any(grey):
        return f"refused: {_why(plain)}"
    if code:
        return f"refused in part: {_why(plain)}"
    if "What limits them" in said or "for showing" in said:
        return f"marked: {plain.partition('What limits them:')[2][:90]}"
    return "READ AS GOOD"


class _Field:
    def __init__(self, told: dict[str, object]) -> None:
        self.map = bool(told["map"])


def _fields(case: Case) -> list[_Field]:
    path = case.checkpoint / "maps" / "read.json"
    return [_Field(one) for one in load_json(path)["fields"]] if path.exists() else []


def _why(plain: str) -> str:
    """Return the sentence a person is told last, or the first field's."""
    after = plain.partition("No map was made of:")[2] or plain[-160:]
    return after[:110]


def spoiled_shoots(seeds: int, size: Size, kinds: list[str]) -> None:
    print("| fault | shoots | refused | refused in part | marked | read as good | what was said |")
    print("|---|---|---|---|---|---|---|")
    for kind in kinds:
        ends = []
        for seed in range(1, seeds + 1):
            with tempfile.TemporaryDirectory() as folder:
                fault = next((one for one in faults() if one == kind), None)
                case = made(
                    Path(folder), size, 100 + seed, worn=True, fault=fault, kind="jpeg" if kind == JPEG else "dng"
                )
                ends.append(ended(case, *(("--checkpoint", case.checkpoint.name) if fault in BLIND else ())))
        heads = [one.partition(":")[0] for one in ends]
        counts = " | ".join(str(heads.count(word)) for word in ("refused", "refused in part", "marked", "READ AS GOOD"))
        said = "; ".join(dict.fromkeys(one.partition(": ")[2] for one in ends))
        print(f"| {kind} | {seeds} | {counts} | {said[:400]} |", flush=True)


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--pairs", type=int, default=0, help="pairs of shoots at 24 megapixels, each way")
    asked.add_argument("--faults", type=int, default=0, help="shoots of each kind that went wrong")
    asked.add_argument("--full", action="store_true", help="these at 24 megapixels too")
    asked.add_argument("--kind", help="one kind alone")
    wish = asked.parse_args()
    if wish.pairs:
        pairs(wish.pairs)
    if wish.faults:
        kinds = [wish.kind] if wish.kind else [*faults(), JPEG, "good"]
        spoiled_shoots(wish.faults, FULL if wish.full else SMALL, kinds)


if __name__ == "__main__":
    main()
