"""Expansion: visits, references, quadruples, orders, and that the same input gives the same steps."""

from __future__ import annotations

import re
from collections import Counter
from itertools import groupby
from typing import get_args, get_type_hints

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from patterns.frame import Rect
from sequences.errors import SequenceError
from sequences.estimate import plan
from sequences.expand import expand, expand_noted, restart_step
from sequences.model import Hold, PanelFacts, PutProbe, Read, Reads, WarmUp, Zone
from sequences.reader import load, parse
from sequences.schema import READ_GROUPS, Pattern
from tests.sequences.expanding import HEAD, REFERENCE, group, keys, reads, sequence
from tests.sequences.panels import SIZES, harbour_desk


@pytest.mark.parametrize("name", ["checkpoint", "spot", "uniformity", "zones", "by-eye"])
def test_the_same_file_panel_and_seed_give_the_same_steps(name: str) -> None:
    panel = harbour_desk(aperture_mm=10)
    assert expand(load(name), panel, 42) == expand(load(name), panel, 42)


def test_a_stated_seed_gives_a_stated_order() -> None:
    """Pins the order: a stored seed must mean the same next year, on any machine."""
    steps = expand(
        sequence(group('group = "ramp"; codes = [20, 40, 60, 80, 100]'), 'order = "shuffled"\n'), harbour_desk(), 7
    )
    assert [step.patch.level.label for step in reads(steps)] == ORDER_OF_SEED_7


ORDER_OF_SEED_7 = ["c20", "c100", "c40", "c80", "c60"]


def test_another_seed_changes_the_order_but_no_key() -> None:
    panel = harbour_desk()
    first, second = (expand(load("checkpoint"), panel, seed) for seed in (1, 2))
    assert keys(first) != keys(second)
    assert Counter(keys(first)) == Counter(keys(second))


def test_keys_and_geometry_do_not_depend_on_the_seed() -> None:
    panel = harbour_desk(aperture_mm=10)
    first, second = ({s.patch.key: s.patch for s in reads(expand(load("checkpoint"), panel, n))} for n in (1, 2))
    assert first == second


@pytest.mark.parametrize("aperture_mm", [None, 10, 30])
@pytest.mark.parametrize("name", ["checkpoint", "spot", "uniformity", "zones"])
def test_keys_are_unique_within_a_visit_but_for_what_is_shown_again(name: str, aperture_mm: float | None) -> None:
    for seed in (1, 2):
        steps = reads(expand(load(name), harbour_desk(aperture_mm=aperture_mm), seed))
        told = [s for s in steps if s.patch.purpose != "reference"]
        seen = Counter((s.visit, s.patch.key, s.pair) for s in told)
        assert seen == {(s.visit, s.patch.key, s.pair): s.patch.showings for s in told}


def test_what_is_shown_again_comes_back_after_all_others_with_its_readings_shared_out() -> None:
    again = group('group = "ramp"; codes = [20, 40, 60]; showings = 2; reads = 7')
    once = group('group = "field"; codes = [100]')
    steps = reads(expand(sequence(again + once), harbour_desk(), 1))
    assert [s.patch.level.label for s in steps] == ["c20", "c40", "c60", "c100", "c60", "c40", "c20"]
    assert {s.patch.reads.n for s in steps if s.patch.showings == 2} == {4}
    until = group('group = "ramp"; codes = [200]; showings = 2; reads = { until = 0.002, max = 40, n = 5 }')
    (first, second) = (s.patch.reads for s in reads(expand(sequence(until), harbour_desk(), 1)))
    # Two showings of a standard uncertainty of 0.002 x sqrt(2) each make a mean of 0.002.
    assert first == second == Reads(n=3, until=pytest.approx(0.002 * 2**0.5), max=20)


def test_every_patch_of_a_ramp_or_a_ladder_that_carries_a_verdict_is_shown_at_two_times() -> None:
    steps = reads(expand(load("checkpoint"), harbour_desk(), 1))
    told = {s.patch.key for s in steps if s.patch.level.basis == "code" and s.patch.purpose in {"ramp", "primary"}}
    between = {key: [n for n, s in enumerate(steps) if s.patch.key == key] for key in told}
    assert len(told) > 25
    assert all(len(at) == 2 for at in between.values())
    assert np.median([second - first for first, second in between.values()]) > 8


def test_showings_go_with_neither_closing_in_nor_zones_nor_a_hold() -> None:
    for text in (
        'group = "ramp"; cd_m2 = [20]; refine = true; showings = 2',
        'group = "zones"; codes = [128]; showings = 2',
    ):
        with pytest.raises(SequenceError, match="showings: 2 has no meaning here"):
            sequence(group(text))


@pytest.mark.parametrize("name", ["checkpoint", "spot", "uniformity", "zones"])
def test_each_visit_begins_with_the_probe_put_and_is_framed_by_the_reference(name: str) -> None:
    steps = expand(load(name), harbour_desk(), 1)
    visit = 0
    for step in steps:
        if isinstance(step, PutProbe):
            assert step.visit == visit + 1
            visit = step.visit
        elif isinstance(step, Read):
            assert step.visit == visit
    for _, visited in groupby(reads(steps), key=lambda step: step.visit):
        patches = [step.patch for step in visited]
        assert patches[0].purpose == patches[-1].purpose == "reference"
        assert {patch.place for patch in patches} == {patches[0].place}


def test_the_reference_stands_between_every_so_many_patches() -> None:
    steps = expand(sequence(group('group = "ramp"; codes = [20, 40, 60, 80, 100]'), REFERENCE), harbour_desk(), 1)
    assert [step.patch.level.label for step in reads(steps)] == [
        "c128", "c20", "c40", "c128", "c60", "c80", "c128", "c100", "c128",
    ]  # fmt: skip


def test_all_patches_of_a_place_are_read_in_one_visit() -> None:
    text = (
        group('group = "grid"; points = 5; codes = [64]')
        + group('group = "field"; codes = [90]; place = "x900y900"')
        + group('group = "grid"; points = 5; codes = [128]')
        + group('group = "ramp"; codes = [50]')
    )
    steps = expand(sequence(text), harbour_desk(), 1)
    placed = [step.place.name for step in steps if isinstance(step, PutProbe)]
    assert placed == ["centre", "x100y100", "x100y900", "x900y900", "x900y100"]
    assert Counter(step.visit for step in reads(steps)) == {1: 3, 2: 2, 3: 2, 4: 3, 5: 2}


def test_a_grid_is_walked_round() -> None:
    steps = expand(sequence(group('group = "grid"; points = 9')), harbour_desk(), 1)
    ways = [step.place.name for step in steps if isinstance(step, PutProbe)]
    assert ways == [
        "centre", "x500y100", "x100y100", "x100y500", "x100y900", "x500y900", "x900y900", "x900y500", "x900y100",
    ]  # fmt: skip


def test_a_visit_goes_on_over_steps_at_the_same_place() -> None:
    text = HEAD + REFERENCE + '[[steps]]\nkind = "place"\n'
    text += ('[[steps]]\nkind = "read"\n' + group('group = "ramp"; codes = [{}]')) * 2
    steps = expand(parse(text.format(10, 20)), harbour_desk(), 1)
    assert sum(isinstance(step, PutProbe) for step in steps) == 1
    assert [step.patch.level.label for step in reads(steps)] == ["c128", "c10", "c128", "c20", "c128"]


def test_the_room_step_takes_the_probe_off() -> None:
    text = HEAD + '[[steps]]\nkind = "place"\n[[steps]]\nkind = "room"\n[[steps]]\nkind = "read"\n'
    steps = expand(parse(text + group('group = "ramp"; codes = [10]')), harbour_desk(), 1)
    assert [type(step).__name__ for step in steps] == ["PutProbe", "Room", "PutProbe", "Read"]


def test_warm_up_asks_for_the_probe_only_when_it_reads() -> None:
    for read, kinds in (("true", ["PutProbe", "WarmUp", "Read"]), ("false", ["WarmUp", "PutProbe", "Read"])):
        text = f'{HEAD}[[steps]]\nkind = "warm-up"\nread = {read}\n[[steps]]\nkind = "read"\n'
        steps = expand(parse(text + group('group = "ramp"; codes = [10]')), harbour_desk(), 1)
        assert [type(step).__name__ for step in steps] == kinds
        warm_up = next(step for step in steps if isinstance(step, WarmUp))
        assert (warm_up.patch is not None) == (read == "true")


def test_an_unknown_zone_names_the_nearest() -> None:
    with pytest.raises(SequenceError, match="'clock-bage' is no zone with a reference; did you mean 'clock-badge'"):
        expand(sequence(group('group = "zones"; names = ["clock-bage"]; codes = [64]')), harbour_desk(), 1)
    with pytest.raises(SequenceError, match="'vessel-lst' is no zone of this panel; did you mean 'vessel-list'"):
        expand(sequence(group('group = "field"; place = "vessel-lst"; codes = [64]')), harbour_desk(), 1)


def test_a_probe_place_off_the_panel_is_refused() -> None:
    panel = harbour_desk()
    zone = type(panel.zones[0])("stray", panel.zones[0].rect, (1300.0, 20.0))
    odd = PanelFacts(1280, 720, panel.active_area_mm, zones=(zone,))
    with pytest.raises(SequenceError, match="'stray' puts the probe at 1300, 20 px, which does not lie on the panel"):
        expand(sequence(group('group = "field"; place = "stray"; codes = [64]')), odd, 1)


def test_a_window_that_the_edge_would_cut_is_refused() -> None:
    with pytest.raises(
        SequenceError, match=r"window/x050y050/grey/c64/w10: pattern window: .* do not fit on 1280 x 720"
    ):
        expand(sequence(group('group = "window"; place = "x050y050"; codes = [64]')), harbour_desk(), 1)


def test_a_window_smaller_than_the_aperture_is_left_out_and_said() -> None:
    panel = PanelFacts(1280, 720, (286.0, 179.0), aperture_mm=27)
    steps, notes = expand_noted(load("spot"), panel, 1)
    assert notes == (
        "loading/centre/grey/c255/w1: 28.6 x 17.9 mm is smaller than the probe's aperture of 27 mm and is left out",
        "loading/centre/grey/c255/w2: 40.4 x 25.3 mm is smaller than the probe's aperture of 27 mm and is left out",
    )
    assert "loading/centre/grey/c255/w4" in keys(steps)


def test_two_different_patches_under_one_key_are_refused_and_equal_ones_read_once() -> None:
    twice = group('group = "ramp"; codes = [64]')
    assert len(reads(expand(sequence(twice * 2), harbour_desk(), 1))) == 1
    with pytest.raises(SequenceError, match="ramp/centre/grey/c64/w10: is asked for twice in one visit"):
        expand(sequence(twice + group('group = "ramp"; codes = [64]; reads = 9')), harbour_desk(), 1)


def test_dark_patches_settle_longer_and_are_read_more_often() -> None:
    head = "[reading]\nsettle_s = 0.5\nreads = 3\nintegration_s = 0.25\n"
    head += "[dark]\nbelow_cd_m2 = 2\nsettle_s = 6\nreads = { until = 0.01 }\n"
    text = group('group = "ramp"; codes = [0, 16, 200]') + group('group = "ramp"; cd_m2 = [1, 100]')
    text += group('group = "ramp"; codes = [8]; settle_s = 0.1; reads = 2')
    made = {s.patch.level.label: s.patch for s in reads(expand(sequence(text, head), harbour_desk(), 1))}
    assert made["c200"].reads == made["Y100"].reads == Reads(3)
    assert made["c0"].reads == made["c16"].reads == made["Y1"].reads == Reads(5, 0.01, None, 40)
    assert [made[k].settle_s for k in ("c0", "Y1", "c200", "c8")] == [6, 6, 0.5, 0.1]
    assert made["c8"].reads == Reads(2)
    assert {patch.integration_s for patch in made.values()} == {0.25}


def test_every_kind_of_level_and_window_is_expressed_in_the_key() -> None:
    text = group('group = "window"; share_of_peak = [0.25]; share = 0.025; shape = "square"')
    text += group('group = "window"; jnd_steps = 3; background = 20; collar_px = 40')
    text += group('group = "ramp"; cd_m2 = [0.5]; surround_mean_code = 60; refine = true; between_codes = true')
    made = reads(expand(sequence(text), harbour_desk(), 1))
    assert [s.patch.key for s in made] == [
        "window/centre/grey/p25/w2.5s",
        "window/centre/grey/j01of3/w10-on20-collar40",
        "window/centre/grey/j02of3/w10-on20-collar40",
        "window/centre/grey/j03of3/w10-on20-collar40",
        "ramp/centre/grey/Y0.5/w10-mean60",
    ]
    assert made[-1].patch.refine
    assert made[-1].patch.between_codes
    assert made[1].patch.background == (20.0, 20.0, 20.0)


def test_shuffled_patches_stay_in_blocks_from_dark_to_bright() -> None:
    text = group('group = "loading"') + group('group = "ramp"; codes = [255, 230, 0, 5, 60, 90, 120]')
    steps = reads(expand(sequence(text, 'order = "shuffled"\n'), harbour_desk(), 4))
    values = [step.patch.level.value for step in steps if step.patch.group == "ramp"]
    assert set(values[:2]) == {0, 5}
    assert set(values[2:5]) == {60, 90, 120}
    assert set(values[5:]) == {255, 230}
    assert [step.patch.group for step in steps[7:]] == ["loading"] * 7


def test_nothing_to_show_is_said() -> None:
    with pytest.raises(SequenceError, match="nothing is left to show: it has no read, no hold and no shoot step"):
        expand(parse(HEAD + '[[steps]]\nkind = "ask"\n'), harbour_desk(), 1)


def test_a_panel_without_size_is_refused() -> None:
    with pytest.raises(SequenceError, match="must be above 0"):
        expand(load("spot"), PanelFacts(1280, 720, (0, 0)), 1)


@pytest.mark.parametrize("name", ["checkpoint", "zones"])
def test_restarting_never_cuts_a_visit_or_a_quadruple(name: str) -> None:
    steps = expand(load(name), harbour_desk(aperture_mm=30), 1)
    for step in steps:
        start = restart_step(steps, step.number)
        assert start <= step.number
        if not isinstance(step, Read | PutProbe):
            assert start == step.number
            continue
        before = [s for s in reads(steps) if s.number < start]
        after = [s for s in reads(steps) if s.number >= start]
        assert not {s.visit for s in before} & {s.visit for s in after}
        assert not {s.pair[:-2] for s in before if s.pair} & {s.pair[:-2] for s in after if s.pair}


def test_restarting_inside_a_nest_goes_back_to_its_first_zone() -> None:
    steps = expand(load("checkpoint"), harbour_desk(), 1)
    last = [step for step in reads(steps) if step.pair == "quay-camera.4"][-1]
    again = next(step for step in steps if step.number == restart_step(steps, last.number))
    assert isinstance(again, PutProbe)
    assert again.place.name == "clock-badge"


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("pattern", get_args(get_type_hints(Pattern)["pattern"]))
def test_every_pattern_a_hold_may_name_can_be_shown(pattern: str, size: tuple[int, int]) -> None:
    text = f'{HEAD}[[steps]]\nkind = "hold"\nphoto = false\n' + group(f'group = "pattern"; pattern = "{pattern}"')
    title_card, held, *_ = expand(parse(text), harbour_desk(*size), 1)
    assert isinstance(title_card, Hold)
    assert isinstance(held, Hold)
    assert title_card.title_card
    assert held.patch.key == f"pattern/centre/grey/c255/{pattern}"
    assert title_card.photo == held.photo == ""
    assert held.seconds is None


LEVELS = st.sampled_from(
    ["codes = [0, 128.5, 255]", "cd_m2 = [0.001, 50, 9999]", "share_of_peak = [0.001, 1]", "jnd_steps = 7"]
)
GROUPS = st.builds(
    lambda name, levels, extra: group(f'group = "{name}"; {levels}') + (extra + "\n" if extra else ""),
    st.sampled_from(sorted(READ_GROUPS)),
    LEVELS,
    st.sampled_from(["", 'purpose = "white"', "reads = { until = 0.001 }", "settle_s = 0", 'hues = ["cyan", "blue"]']),
)
RECTS = st.builds(Rect, st.integers(-5, 700), st.integers(-5, 500), st.integers(1, 900), st.integers(1, 900))


@given(
    st.lists(GROUPS, min_size=1, max_size=3),
    st.tuples(st.integers(1, 900), st.integers(1, 900)),
    st.lists(RECTS, max_size=3),
    st.one_of(st.none(), st.floats(0.1, 500)),
    st.sampled_from(["as-written", "shuffled"]),
)
@settings(derandomize=True)
def test_any_sequence_on_any_panel_gives_steps_or_a_sequence_error(
    groups: list[str], size: tuple[int, int], rects: list[Rect], aperture_mm: float | None, order: str
) -> None:
    zones = tuple(Zone(f"z{n}", rect, rect.centre, f"z{n - 1}" if n else "") for n, rect in enumerate(rects))
    panel = PanelFacts(*size, (size[0] * 0.3, size[1] * 0.3), zones=zones, aperture_mm=aperture_mm)
    try:
        steps = expand(sequence("".join(groups), f'order = "{order}"\n{REFERENCE}'), panel, 3)
    except SequenceError as error:
        assert error.problems
        return
    planned = plan(steps, panel)
    assert planned.patches > 0
    assert planned.minutes > 0
    assert all(not re.search(r"\s", key) for key in keys(steps))
