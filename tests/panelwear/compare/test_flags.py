"""How much of a checkpoint carries flags that cost comparability."""

from dataclasses import replace

import numpy as np
import pytest

from panelwear.compare.differences import compare_circumstances
from panelwear.figures.circumstances import Circumstances
from panelwear.figures.flags import COSTS, Flagged, flagged_of
from panelwear.readings.row import FLAGS
from tests.panelwear.compare.panels import read


def flagged(*flags):
    """Give the readings these flags in turn."""
    table = read()
    return replace(table, flags=np.array([flags[i % len(flags)] for i in range(len(table))], dtype=np.str_))


def test_shares_are_of_the_readings_that_make_figures():
    table = flagged("ok", "not-settled", "not-settled limiter", "ok")
    table = table.where(np.arange(len(table)) < len(table) // 4 * 4)
    found = flagged_of(table)
    assert {flag: one.share for flag, one in found.items()} == {"not-settled": 0.5, "limiter": 0.25}
    assert found["limiter"].patches == tuple(dict.fromkeys(table.patch[2::4].tolist()))


def test_readings_that_prepare_a_run_or_are_unusable_do_not_count():
    table = flagged("ok", "not-settled", "not-settled disturbed")
    early = np.char.equal(table.flags, "not-settled")
    table = replace(table, purpose=np.where(early, "warm-up", table.purpose))
    assert flagged_of(table) == {}


def test_a_checkpoint_without_readings_has_no_shares():
    table = read()
    assert flagged_of(table.where(np.zeros(len(table), dtype=bool))) == {}


def test_the_flags_are_those_of_the_journal():
    assert {key.partition("/")[0] for key in COSTS} <= set(FLAGS)


def dimmed(*starts):
    """Flag the patches whose keys begin like this, and return what is found."""
    table = read(zones={"list": 0.0})
    hit = np.logical_or.reduce([np.char.startswith(table.patch, start) for start in starts])
    return flagged_of(replace(table, flags=np.where(hit, "limiter", "ok")))


@pytest.mark.parametrize(
    ("patches", "key", "untouched"),
    [
        (("zone/list/grey/c192",), "limiter/zone", "peak, loading and contrast are not touched"),
        (("ramp/centre/grey/c192",), "limiter/levels", "contrast and zones are not touched"),
        (("reference/",), "limiter/reference", ""),
        (("primary/centre/grey/c255",), "limiter", ""),
        # Where peak is the limiter's too, one line says it all.
        (("primary/centre/grey/c255", "zone/"), "limiter", ""),
    ],
)
def test_what_a_flag_costs_depends_on_the_patches_that_carry_it(patches, key, untouched):
    assert list(dimmed(*patches)) == [key]
    assert untouched in COSTS[key][1]


def test_a_dimmed_zone_patch_says_nothing_of_peak_in_a_comparison():
    table = read(zones={"list": 0.0})
    flags = flagged_of(replace(table, flags=np.where(table.purpose == "zone", "limiter", "ok")))
    how = compare_circumstances(Circumstances(name="a"), Circumstances(name="b", flagged=flags))
    (found,) = [d for d in how.differences if d.topic in COSTS]
    assert "zone patches" in found.what
    assert "peak, loading and contrast made of them" not in found.cost


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (Flagged(1.0), "100 % of the readings"),
        (Flagged(0.256, ("a", "b", "c")), "26 % of the readings"),
        (Flagged(0.0004, ("zone/chart/green/c180/full",)), "under 1 % of the readings: zone/chart/green/c180/full"),
    ],
)
def test_a_share_is_said_in_per_cent_and_few_patches_by_name(found, words):
    assert found.words == words
