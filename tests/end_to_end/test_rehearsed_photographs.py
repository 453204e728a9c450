"""From the off-screen surface by a simulated camera's raw files to maps: what changed is what was true."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from panelwear.camera.field_map import FieldMap
from panelwear.camera.map_files import MAPS, load_map
from panelwear.camera.map_folder import map_ends
from panelwear.camera.wear.pairing import pair_maps
from panelwear.cli import main
from panelwear.simulation.camera.truth import relative, zone_cells
from panelwear.simulation.rehearsal import SIZE_PX, Wish, make_panel_folder, rehearse
from panelwear.simulation.usage import harbour_desk_zones

TINY = str(Path(__file__).parents[1] / "panelwear" / "simulation" / "tiny.toml")
FIELDS = ("grey-20cd", "grey-100cd", "red-c160", "green-c160", "blue-c160")
ZONES = ("vessel-list", "clock-badge", "quay-camera")


@pytest.mark.slow
def test_maps_of_rehearsed_photographs_hold_the_true_change_of_every_zone(tmp_path: Path) -> None:
    panel, truth = make_panel_folder(tmp_path / "harbour-desk"), tmp_path / "true-photographs"
    done = rehearse(panel, Wish(3, TINY, (0.0, 4400.0), truth), lambda _: None)
    maps: list[dict[str, FieldMap]] = []
    for one in done:
        found = one.checkpoint
        photographs = sorted((found.directory / "photos").glob("*.dng"))
        assert main(["camera", "read", str(panel), *map(str, photographs), "--checkpoint", found.name]) == 0
        maps.append({name: load_map(found.directory / MAPS / f"{name}.json") for name in FIELDS})
    ends, faults = map_ends(panel)
    assert faults == ()
    paired = pair_maps(*(end.maps for end in ends))
    assert paired.not_paired == ()  # the drive levels for one luminance differ a little after 4400 h, and pair
    assert len(paired.changes) == len(FIELDS)
    reference = zone_cells(harbour_desk_zones(*SIZE_PX), "chart", SIZE_PX)
    light = [np.load(truth / f"{one.checkpoint.name}-shoot-1.npz") for one in done]
    for name in FIELDS:
        then, now = (each[name] for each in maps)
        assert then.simulated and now.simulated and not now.for_showing
        usable = then.usable & now.usable
        change = now.light / then.light
        true = relative(light[1][f"{name}.cd_m2"], reference) / relative(light[0][f"{name}.cd_m2"], reference)
        u = np.hypot(now.u_light / now.light, then.u_light / then.light)
        assert np.std(((change / true - 1) / u)[usable]) == pytest.approx(1.0, abs=0.15)
        for zone in ZONES:
            cells = zone_cells(harbour_desk_zones(*SIZE_PX), zone, SIZE_PX) & usable
            assert cells.sum() > 1000
            # Wanted of raw files with an even surface: 0.15 % of luminance.
            assert change[cells].mean() == pytest.approx(true[cells].mean(), abs=0.0015), (name, zone)
