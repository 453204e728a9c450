"""Shooting lists: what they may say, and the order and exposures of their shots."""

from __future__ import annotations

from pathlib import Path
from typing import get_args

import numpy as np
import pytest

from panelwear.camera.shots import ShotKind
from sequences import shoots
from sequences.errors import SequenceError
from sequences.exposure import (
    FULL_SHARE,
    LEAST_S,
    MOST_BANDING,
    banding,
    good_times_s,
    share_of_full,
    suggested_s,
    time_label,
)
from sequences.model import PanelFacts
from sequences.shoot_schema import ShootList

PANEL = PanelFacts(3840, 2160, (700.0, 400.0))
LEAST = """
name = "mine"
description = "what it is for"
[[shots]]
kind = "dots"
[[shots]]
kind = "fields"
codes = [40, 120]
"""


def parsed(text: str) -> ShootList:
    return shoots.parse(text, "mine.toml")


def faults(text: str) -> tuple[str, ...]:
    with pytest.raises(SequenceError) as caught:
        parsed(text)
    return caught.value.problems


@pytest.mark.parametrize("name", shoots.shipped())
def test_a_shipped_list_is_named_as_its_file_and_has_a_sentence(name: str) -> None:
    _, found = shoots.source_of(name)
    assert found.name == name
    assert found.description.endswith(".")


def test_the_usual_list_has_what_a_checkpoint_wants() -> None:
    _, usual = shoots.source_of("usual")
    names = [one.name for one in shoots.shots_of(usual, PANEL, known=True)]
    assert names[:3] == ["dots", "stairs", "black"]
    assert names[-2:] == ["dots-end", "even-surface"]
    assert [name for name in names if name.startswith("grey")] == ["grey-5cd", "grey-20cd", "grey-50cd", "grey-120cd"]
    assert {f"{hue}-c{code}" for hue in ("red", "green", "blue") for code in (128, 200)} < set(names)


@pytest.mark.parametrize("known", [True, False])
@pytest.mark.parametrize("poses", [True, False])
def test_fields_go_from_dark_to_bright_and_names_stand_once(known: bool, poses: bool) -> None:
    _, usual = shoots.source_of("usual")
    shots = shoots.shots_of(usual, PANEL, known=known, poses=poses)
    light = [one.nominal_cd_m2 for one in shots if one.kind == "field" and one.pose == 0]
    assert light == sorted(light) and len(light) == 10
    assert len({one.name for one in shots}) == len(shots)
    assert {one.kind for one in shots} == set(get_args(ShotKind)) - {"title-card"}


def test_drive_levels_stand_where_the_response_is_not_known() -> None:
    _, usual = shoots.source_of("usual")
    shots = shoots.shots_of(usual, PANEL, known=False)
    assert {one.level.basis for one in shots} == {"code"}
    assert [one.name for one in shots if one.hue == "grey" and one.kind == "field"] == [
        "grey-c44", "grey-c82", "grey-c122", "grey-c182"]  # fmt: skip
    for shown, wanted in zip((44, 82, 122, 182), (5, 20, 50, 120), strict=True):  # "about the same on 250 cd/m2"
        assert 250 * (shown / 255) ** 2.2 == pytest.approx(wanted, rel=0.05)


def test_each_other_pose_has_its_dots_and_the_field_that_is_marked() -> None:
    _, usual = shoots.source_of("usual")
    shots = shoots.shots_of(usual, PANEL, known=True, poses=True)
    assert [one.name for one in shots if one.pose] == [
        f"{what}-pose{pose}" for pose in (1, 2, 3) for what in ("dots", "grey-50cd")]  # fmt: skip
    brightest = shoots.shots_of(parsed(LEAST), PANEL, known=True, poses=True)
    assert [one.name for one in brightest if one.pose == 1] == ["dots-pose1", "grey-c120-pose1"]


def test_frames_are_the_list_s_but_where_noise_does_not_matter() -> None:
    text = LEAST.replace('[[shots]]\nkind = "fields"', '[[shots]]\nkind = "black"\n[[shots]]\nkind = "fields"')
    frames = {one.name: one.frames for one in shoots.shots_of(parsed(f"frames = 5\n{text}"), PANEL, known=True)}
    assert frames == {"dots": 2, "black": 5, "grey-c40": 5, "grey-c120": 5, "dots-end": 2}


def test_all_faults_are_said_at_once_with_key_and_near_name() -> None:
    said = faults(
        """
name = "Mine"
description = " "
f_number = 0.1
isoo = 100
[[shots]]
kind = "dotts"
[[shots]]
kind = "fields"
cd_m2 = [5, 20]
codes = [44]
hues = ["gray"]
frames = 0
"""
    )
    for part in ("mine.toml: name: 'Mine' must be a word", "description: is empty", "f_number: 0.1",
                 "did you mean 'iso'?", "did you mean 'dots'", "did you mean 'grey'",
                 "shots[2].frames: 0"):  # fmt: skip
        assert [line for line in said if part in line], (part, said)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (LEAST.replace('kind = "dots"', 'kind = "black"'), "has none of kind dots"),
        (LEAST.replace('kind = "fields"\ncodes = [40, 120]', 'kind = "black"'), "has none of kind fields"),
        (LEAST + '[[shots]]\nkind = "dots"\n', "has 2 of kind dots; one is allowed"),
        (LEAST + '[[shots]]\nkind = "fields"\ncodes = [120]\n', "has grey at 120 twice"),
        (LEAST.replace("[40, 120]", f"{list(range(40, 101))}"), "has 61 fields; 60 is the most"),
        (LEAST.replace("[40, 120]", "[40, 120]\ncd_m2 = [5]"), "2 drive levels for 1 luminances"),
    ],
)
def test_what_gives_no_map_is_refused(text: str, told: str) -> None:
    assert [line for line in faults(text) if told in line]


def test_an_unknown_list_names_the_nearest_one() -> None:
    with pytest.raises(
        SequenceError, match="usul: there is no such shooting list and no such file; did you mean 'usual'"
    ):
        shoots.LISTS.find("usul")


def test_a_file_of_one_s_own_is_read(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text(LEAST, encoding="utf-8")
    raw, found = shoots.source_of(str(path))
    assert (raw.decode(), found.name) == (LEAST, "mine")


@pytest.mark.parametrize("hz", [50.0, 59.94, 60.0, 119.88, 143.86, 240.0])
def test_offered_exposures_show_no_bands(hz: float) -> None:
    """Against a sum over the exposure, phase by phase, of light wholly modulated at the refresh rate."""
    times = good_times_s(hz)
    assert min(times) >= LEAST_S and len(times) >= 10
    for time_s in times:
        at = np.linspace(0, time_s, 200_001)[:-1] + time_s / 400_000
        seen = [np.mean(1 + np.cos(2 * np.pi * hz * at + phase)) for phase in np.linspace(0, 2 * np.pi, 24)]
        assert max(np.abs(np.array(seen) - 1)) <= MOST_BANDING + 1e-6


@pytest.mark.parametrize(
    ("hz", "time_s", "percent"), [(60, 1 / 60, 0.0), (59.94, 1 / 60, 0.1), (60, 1 / 50, 15.6), (143.86, 0.1, 2.1)]
)
def test_bands_of_given_exposures(hz: float, time_s: float, percent: float) -> None:
    """Computed once by sampling, apart from this formula: 60 Hz at 1/60 and 1/50 s, 59.94 Hz, 143.86 Hz at 0.1 s."""
    assert 100 * banding(time_s, hz) == pytest.approx(percent, abs=0.06)


def test_what_a_camera_cannot_do_is_not_offered() -> None:
    assert [time_label(t) for t in good_times_s(60)][:5] == ["1/4", "1/2", "1", "1.6", "2"]
    assert "1/4" not in [time_label(t) for t in good_times_s(50)]  # 12.5 periods


def test_a_field_fills_the_sensor_by_its_light() -> None:
    """ISO 12232: a saturation-based speed of 100 is full at 0.78 lx s; 120 cd/m2 at f/8 through q = 0.65 is 1.22 lx."""
    assert share_of_full(120, 0.5, 8, 100) == pytest.approx(0.65 * 120 / 64 * 0.5 / 0.78)
    assert share_of_full(60, 1.0, 8, 100) == share_of_full(120, 0.5, 8, 100) == share_of_full(120, 1.0, 8, 50)


@pytest.mark.parametrize("light", [2.0, 5.0, 20.0, 50.0, 120.0, 190.0])
def test_the_exposure_suggested_is_the_longest_that_fits(light: float) -> None:
    chosen = suggested_s(light, 8, 100, 60)
    assert share_of_full(light, chosen, 8, 100) <= FULL_SHARE
    longer = [t for t in good_times_s(60) if t > chosen]
    assert not longer or share_of_full(light, longer[0], 8, 100) > FULL_SHARE
    assert suggested_s(5_000, 8, 100, 60) == LEAST_S


def test_black_is_exposed_as_the_darkest_field_and_colours_as_their_grey() -> None:
    _, usual = shoots.source_of("usual")
    by_name = {one.name: shoots.exposure_s(one, usual, PANEL) for one in shoots.shots_of(usual, PANEL, known=True)}
    assert by_name["black"] == by_name["grey-5cd"]
    assert by_name["red-c128"] == by_name["green-c128"] == by_name["blue-c128"] == by_name["dots"]
    assert by_name["even-surface"] is None


def test_every_shipped_list_is_described() -> None:
    page = (Path(__file__).parents[2] / "docs" / "photographs.md").read_text(encoding="utf-8")
    assert [name for name in shoots.shipped() if f"`{name}`" not in page] == []
