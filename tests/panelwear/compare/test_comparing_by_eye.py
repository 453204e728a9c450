"""Checkpoints of the eye alone beside those with readings."""

from dataclasses import replace

import numpy as np
import pytest

from panelwear.compare.comparing import comparison_of
from panelwear.errors import UsageError
from tests.panelwear.compare.panels import FACTS, read, subject, with_facts
from tests.panelwear.compare.test_comparing import METER, worn
from tests.panelwear.compare.test_zones import mark, match
from tests.panelwear.telling.unbroken import lines

__all__ = ["worn"]  # the fixture


def by_eye(name, hours, **more):
    empty = read().where(np.zeros(len(read()), dtype=bool))
    return subject(empty, name, hours, METER, **more)


@pytest.mark.parametrize("hours", [-1.0, 3000.0, 4600.0])
def test_a_checkpoint_of_the_eye_alone_is_no_end_of_a_pair(worn, hours):
    found = comparison_of([*worn, by_eye("looked", hours, matches=(match(-2.9),))], facts=FACTS)
    assert [(p.before.name, p.after.name) for p in found.pairs] == [("first", "third"), ("second", "third")]
    assert len([r for r in found.pairs[0].rows if not r.under]) >= 8
    assert [c.name for c in found.checkpoints] == ["first", "second", "third"]


def test_what_the_eye_found_later_stands_beside_the_newest_readings(worn):
    looked = by_eye("looked", 4600.0, matches=(match(-2.9),), marks=(mark(0, 10, 190, 480),))
    pair = comparison_of([*worn, looked], facts=FACTS).pairs[0]
    zone = next(z for z in pair.zones if z.zone == "list")
    assert len(zone.eye) == 1
    assert zone.marks == 1
    said = "'looked' holds no readings and is not compared; what the eye found there stands beside the readings of"
    assert f"{said} 'third'." in pair.not_compared
    # What it found at 2500 h is not what it would find at 4000 h.
    early = with_facts(looked, circumstances=replace(looked.circumstances, hours=2500.0))
    pair = comparison_of([*worn, early], facts=FACTS).pairs[0]
    assert next(z for z in pair.zones if z.zone == "list").marks == 0


def test_looks_after_rest_of_another_evening_are_not_one_series(worn):
    old = with_facts(worn[0], matches=tuple(match(c, 0.05, t) for t, c in ((0.0, -3.0), (15.0, -1.2), (30.0, -0.5))))
    new = by_eye("looked", 4600.0, matches=tuple(match(-3.0, 0.05, t) for t in (0.0, 15.0, 30.0)))
    pair = comparison_of([worn[1], old, new], facts=FACTS).pairs[0]
    assert next(z for z in pair.zones if z.zone == "list").fading.verdict == "lasting"


def test_a_checkpoint_of_the_eye_alone_cannot_be_chosen_and_nothing_read_is_said(worn):
    looked = by_eye("looked", 4600.0, marks=(mark(0, 10, 190, 480),))
    with pytest.raises(UsageError, match="'looked' holds no readings to compare; those with readings are first, sec"):
        comparison_of([*worn, looked], until="looked")
    found = comparison_of([looked, by_eye("again", 5000.0, marks=(mark(0, 10, 190, 480),))], facts=FACTS)
    assert found.pairs == ()
    assert "Nothing was read with a probe yet" in found.sentences[0]
    assert "2 checkpoints" in lines(found)[0]
