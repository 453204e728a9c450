"""The shipped sequences: they load, fit every size, keep their promises of time, moves and light."""

from __future__ import annotations

import pytest

from patterns import build
from sequences.errors import SequenceError
from sequences.estimate import patch_s, plan
from sequences.expand import expand, expand_noted
from sequences.groups import nominal_codes
from sequences.model import CloseLook, Hold, PanelFacts, PutProbe, Read, Room, WarmUp
from sequences.nominal import drive, luminance_cd_m2
from sequences.reader import load, shipped
from tests.sequences.panels import SIZES, harbour_desk

SHIPPED = ("by-eye", "checkpoint", "half-hour", "spot", "ten-minutes", "uniformity", "zones")


def test_seven_sequences_are_shipped_and_described() -> None:
    assert shipped() == SHIPPED
    for name in shipped():
        assert len(load(name).description) > 60


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", SHIPPED)
def test_every_shipped_sequence_fits_every_size(name: str, size: tuple[int, int]) -> None:
    panel = harbour_desk(*size, aperture_mm=10)
    steps = expand(load(name), panel, 7)
    assert [step.number for step in steps] == list(range(1, len(steps) + 1))
    assert isinstance(steps[-1], CloseLook)
    for step in steps:
        if isinstance(step, Read | Hold):
            patch = step.patch
            colours = {"codes": nominal_codes(patch, panel), "background": patch.background}
            frame = build(patch.pattern, *size, **colours, **dict(patch.parameters))  # type: ignore[arg-type]
            assert (frame.width, frame.height) == size
            assert all(0 <= at <= side for at, side in zip(patch.place.at_px, size, strict=True))


@pytest.mark.parametrize("aperture_mm", [None, 5, 10, 27])
def test_checkpoint_stays_within_an_hour_of_reading_and_twelve_placements(aperture_mm: float | None) -> None:
    panel = harbour_desk(aperture_mm=aperture_mm)
    planned = plan(expand(load("checkpoint"), panel, 1), panel)
    assert 0 < planned.minutes + planned.placement_minutes <= 60
    assert 4 < planned.placements_after_warm_up <= 12


def test_checkpoint_stays_within_twelve_placements_when_every_zone_has_its_own_reference() -> None:
    one = harbour_desk()
    chart, *others = one.zones
    names = ("chart", "vessel-list", "clock-badge", "quay-camera")
    chained = tuple(type(chart)(z.name, z.rect, z.probe_at_px, names[n]) for n, z in enumerate(others[:3]))
    panel = PanelFacts(1280, 720, one.active_area_mm, zones=(chart, *chained))
    planned = plan(expand(load("checkpoint"), panel, 1), panel)
    assert planned.placements_after_warm_up == 12


def test_checkpoint_holds_both_kinds_of_level_and_everything_it_promises() -> None:
    steps = expand(load("checkpoint"), harbour_desk(), 1)
    patches = {step.patch.key: step.patch for step in steps if isinstance(step, Read)}
    purposes = {patch.purpose for patch in patches.values()}
    assert purposes == {"reference", "black", "response", "ramp", "primary", "checkerboard", "loading", "grid", "zone"}
    assert {p.level.basis for p in patches.values() if p.purpose == "ramp"} == {"code", "cd_m2"}
    assert {p.geometry for p in patches.values() if p.purpose == "ramp"} == {"w10"}
    assert {p.hue for p in patches.values() if p.purpose == "primary"} == {"red", "green", "blue", "grey"}
    assert {p.hue for p in patches.values() if p.purpose == "zone"} == {"red", "green", "blue", "grey"}
    for key in (
        "ramp/centre/grey/Y50/w10",
        "primary/centre/green/c255/w10",
        "grid/x100y900/grey/c128/full",
        "reference/centre/grey/c128/w10",
        "zone/clock-badge/blue/c180/full",
        "checkerboard/centre/grey/c255/check5x5b",
        "loading/centre/grey/c255/w1",
    ):
        assert key in patches
    assert any(isinstance(step, Room) for step in steps)


def test_checkpoint_measures_the_response_before_it_needs_it() -> None:
    reads = [step.patch for step in expand(load("checkpoint"), harbour_desk(), 3) if isinstance(step, Read)]
    last_response = max(n for n, patch in enumerate(reads) if patch.purpose == "response")
    first_wanted = min(n for n, patch in enumerate(reads) if patch.level.basis == "cd_m2")
    assert last_response < first_wanted


@pytest.mark.parametrize(("name", "minutes"), [("ten-minutes", 10), ("half-hour", 30)])
def test_short_variants_keep_to_their_time_and_say_what_they_cannot_tell(name: str, minutes: float) -> None:
    panel = harbour_desk()
    planned = plan(expand(load(name), panel, 1), panel)
    assert planned.minutes + planned.placement_minutes + planned.warm_up_minutes < minutes
    assert "Cannot tell: " in load(name).description


def test_patches_of_short_variants_pair_with_those_of_the_full_inspection() -> None:
    def keys(name: str) -> set[str]:
        return {step.patch.key for step in expand(load(name), harbour_desk(), 1) if isinstance(step, Read)}

    full = keys("checkpoint") | keys("spot")
    assert keys("ten-minutes") <= full
    assert keys("half-hour") <= full


def test_spot_takes_under_two_minutes_at_one_place() -> None:
    panel = harbour_desk()
    steps = expand(load("spot"), panel, 1)
    planned = plan(steps, panel)
    assert 0.5 < planned.minutes < 2
    assert planned.placements_after_warm_up == 0
    assert {step.place.name for step in steps if isinstance(step, PutProbe)} == {"centre"}
    shares = [
        dict(s.patch.parameters).get("share") for s in steps if isinstance(s, Read) and s.patch.group == "loading"
    ]
    assert shares == [0.01, 0.02, 0.04, 0.08, 0.16, 0.32, 0.64, 1.0]
    patches = [step.patch for step in steps if isinstance(step, Read)]
    assert {p.hue for p in patches if p.group == "primary" and p.level.value == 255} == {"red", "green", "blue"}
    assert "black" in {p.purpose for p in patches}
    assert [p.level.basis for p in patches if p.purpose == "white"] == ["cd_m2"]


def test_spot_goes_from_dim_to_bright_where_last_time_is_known() -> None:
    bare = harbour_desk()
    keys = [s.patch.key for s in expand(load("spot"), bare, 1) if isinstance(s, Read) and s.patch.group == "loading"]
    known = tuple((key, 400.0 - 30.0 * n) for n, key in enumerate(keys))
    panel = PanelFacts(1280, 720, bare.active_area_mm, known_cd_m2=known)
    again = [s.patch.key for s in expand(load("spot"), panel, 1) if isinstance(s, Read) and s.patch.group == "loading"]
    assert again == keys[::-1]


def test_by_eye_needs_no_probe_and_goes_from_dim_to_bright() -> None:
    panel = harbour_desk()
    steps = expand(load("by-eye"), panel, 1)
    assert not any(isinstance(step, Read | PutProbe | WarmUp) for step in steps)
    held = [step for step in steps if isinstance(step, Hold) and not step.title_card]
    greys = [luminance_cd_m2(s.patch.level, "grey", panel) for s in held if s.patch.hue == "grey"]
    assert greys == sorted(greys)
    assert {s.patch.hue for s in held} == {"grey", "red", "green", "blue"}
    assert held[-1].patch.pattern == "smooth-ramp"
    photos = [step.photo for step in steps if isinstance(step, Hold)]
    assert len(set(photos)) == len(photos)
    assert photos[:2] == ["01-title-card", "02-grey-c1-full"]


def test_zones_without_zones_say_so_in_a_sentence() -> None:
    with pytest.raises(SequenceError, match=r"panel\.toml names no zones"):
        expand(load("zones"), PanelFacts(1280, 720, (596, 335)), 1)


def test_checkpoint_without_zones_goes_on_and_says_so() -> None:
    steps, notes = expand_noted(load("checkpoint"), PanelFacts(1280, 720, (596, 335)), 1)
    assert notes == ("panel.toml names no zones; add [[zones]] blocks there to have them read",)
    assert not any(isinstance(step, Read) and step.pair for step in steps)


@pytest.mark.parametrize("name", SHIPPED)
def test_no_patch_ages_the_panel(name: str) -> None:
    """Bright patches stay 10 s at most at a time and 60 s in all (science of the dose: common practice)."""
    panel = harbour_desk(aperture_mm=10)
    steps = expand(load(name), panel, 5)
    planned = plan(steps, panel)
    assert planned.longest_bright_s <= 60
    assert planned.dose_h < 1
    assert planned.dose_centre_h < 1
    bright = [s.patch for s in steps if isinstance(s, Read) and max(map(drive, nominal_codes(s.patch, panel))) >= 0.5]
    assert all(patch_s(patch, panel) <= 10 for patch in bright)


def test_large_bright_windows_come_last_and_shortest() -> None:
    panel = harbour_desk()
    for name in ("spot", "checkpoint"):
        patches = [s.patch for s in expand(load(name), panel, 2) if isinstance(s, Read) and s.patch.group == "loading"]
        seconds = [patch_s(patch, panel) for patch in patches]
        assert seconds[-1] == min(seconds)
        assert patches[-1].geometry == "w100"
        assert patches[-1].reads.n == 3
