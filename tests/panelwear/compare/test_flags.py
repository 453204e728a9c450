"""How much of a checkpoint carries flags that cost comparability."""

from dataclasses import replace

import numpy as np
import pytest

from panelwear.compare.flags import COSTS, share_in_words, shares_of
from panelwear.journal.columns import FLAGS
from tests.panelwear.compare.panels import read


def flagged(*flags):
    """Give the readings these flags in turn."""
    table = read()
    return replace(table, flags=np.array([flags[i % len(flags)] for i in range(len(table))], dtype=np.str_))


def test_shares_are_of_the_readings_that_make_figures():
    table = flagged("ok", "not-settled", "not-settled limiter", "ok")
    table = table.where(np.arange(len(table)) < len(table) // 4 * 4)
    assert shares_of(table) == {"not-settled": pytest.approx(0.5), "limiter": pytest.approx(0.25)}


def test_readings_that_prepare_a_run_or_are_unusable_do_not_count():
    table = flagged("ok", "not-settled", "not-settled disturbed")
    early = np.char.equal(table.flags, "not-settled")
    table = replace(table, purpose=np.where(early, "warm-up", table.purpose))
    assert shares_of(table) == {}


def test_a_checkpoint_without_readings_has_no_shares():
    table = read()
    assert shares_of(table.where(np.zeros(len(table), dtype=bool))) == {}


def test_the_flags_are_those_of_the_journal():
    assert set(COSTS) <= set(FLAGS)


@pytest.mark.parametrize(("share", "words"), [(1.0, "100 %"), (0.256, "26 %"), (0.0004, "under 1 %")])
def test_a_share_is_said_in_per_cent(share, words):
    assert share_in_words(share) == words
