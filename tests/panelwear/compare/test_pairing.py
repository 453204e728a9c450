"""What pairs and what does not."""

from dataclasses import replace

import numpy as np

from panelwear.compare.differences import compare_circumstances
from panelwear.compare.pairing import pair, paired
from panelwear.figures.evidence import evidence_of
from tests.panelwear.compare.panels import NOTHING, pairing_of, read


def changed(table, key, **columns):
    rows = np.char.find(table.patch, key) >= 0
    return replace(
        table, **{n: np.where(rows, v, getattr(table, n)).astype(np.asarray(getattr(table, n)).dtype) if isinstance(
            v, int | float) else np.where(rows, v, getattr(table, n)) for n, v in columns.items()}
    )  # fmt: skip


def test_equal_checkpoints_pair_in_every_patch_and_nothing_is_said():
    found = pairing_of(read(zones={"list": 0.0}), read(zones={"list": 0.0}))
    assert found.problems == ()
    assert len(found.patches) == len(set(read(zones={"list": 0.0}).patch.tolist()))
    assert {p.kind for p in found.patches} == {"fixed code"}


def test_another_geometry_does_not_pair_and_both_sides_lose_the_patch():
    now = changed(read(), "ramp/", geometry_sha256="another")
    found = pairing_of(read(), now)
    assert len(found.problems) == 1
    assert "3 patches of 'ramp'" in found.problems[0]
    assert "geometry differs" in found.problems[0]
    assert not any(m.group == "ramp" for m in (*found.before.means, *found.after.means))
    assert len(found.before.table) == len(found.before.drift_factor) == len(found.before.raw)


def test_another_code_under_the_same_key_does_not_pair():
    now = changed(read(), "primary/centre/red", red=254.0)
    assert "drive levels differ" in pairing_of(read(), now).problems[0]
    assert pairing_of(read(), now).problems[0].startswith("'primary/centre/red/c255/w10' is not compared")


def test_a_fixed_luminance_pairs_with_other_codes():
    then, now = (changed(read(), "ramp/", level_basis="measured-response", red=code) for code in (180.0, 184.5))
    found = pairing_of(then, now)
    assert not found.problems
    kinds = {p.key: (p.kind, p.codes_before[0], p.codes_after[0]) for p in found.patches}
    assert kinds["ramp/centre/grey/c128/w10"] == ("fixed luminance", 180.0, 184.5)
    assert "ramp/centre/grey/c128/w10" not in found.fixed_codes()


def test_a_fixed_code_does_not_pair_with_a_fixed_luminance():
    now = changed(read(), "ramp/", level_basis="measured-response")
    assert "one checkpoint fixed its drive level" in pairing_of(read(), now).problems[0]


def test_patches_only_one_side_read_are_named_with_the_side():
    zones = {"list": 0.0}
    assert "only the later checkpoint" in pairing_of(read(), read(zones=zones)).problems[0]
    assert "only the earlier checkpoint" in pairing_of(read(zones=zones), read()).problems[0]


def test_two_geometries_inside_one_checkpoint_are_refused():
    table = read()
    twice = replace(table, geometry_sha256=np.where(np.arange(len(table)) % 2 == 0, "g", "other"))
    both = pair(evidence_of(twice, NOTHING), evidence_of(twice, NOTHING))
    assert both.patches == ()
    assert all("two geometries" in sentence for sentence in both.problems)


def test_a_checkpoint_is_one_and_the_same_for_all_it_is_compared_with_and_can_be_let_go():
    zones = {"list": 0.0}
    baseline, last, now = (evidence_of(read(zones=z), NOTHING) for z in ({}, {}, zones))
    how = compare_circumstances(baseline.circumstances, now.circumstances)
    pairings = [paired(one, now, how) for one in (baseline, last)]
    assert pairings[0].after is pairings[1].after
    assert pairings[0] is paired(baseline, now, how)
    whole = pairings[0].before
    assert len(whole.table) == len(baseline.table)
    # What holds itself is let go by the collector alone, long after: a thousand panels would fill the memory.
    assert all(held is not whole for held in whole.memo.values())
