"""What looks like wear and may be none is said beside the verdict, and nothing is said without a reason."""

from dataclasses import replace

import numpy as np
import pytest

from panelwear.compare.comparing import comparison_of
from panelwear.compare.comparison_tables import tables_of
from panelwear.figures.flags import Flagged
from panelwear.uncertainty.meter import MeterTerms
from tests.panelwear.compare.panels import FACTS, read, read_centre, subject
from tests.panelwear.figures.handmade import Bench
from tests.panelwear.telling.unbroken import lines

METER = MeterTerms(session_scale=0.005, session_xy=0.00025, placement=0.001, dark_noise_cd_m2=0.003)
NOISE = {"noise": 0.0015, "placement": 0.001, "dark_noise": 0.003}
STILL = {"list": 0.005, "badge": 0.0}


def compared(kept=(1.0, 1.0, 1.0), zones=None, scale=1.0, **facts):
    then = subject(read(zones=STILL, seed=1, **NOISE), "first", 0.0, METER)
    table = read(kept, STILL if zones is None else zones, seed=2, scale=scale, **NOISE)
    return comparison_of([then, subject(table, "second", 2000.0, METER, **facts)], panel="demo", facts=FACTS)


@pytest.mark.parametrize("factor", [0.95, 1.05])
def test_all_channels_alike_and_zones_still_may_be_a_changed_setting(factor):
    found = compared(scale=factor)
    (said,) = found.pairs[0].suspicions
    assert f"went {'down' if factor < 1 else 'up'} alike" in said
    assert "a setting may have changed (brightness?) or the whole panel wore evenly" in said
    # It stands with the sentence that leads, before the one that tells white's luminance as changed.
    assert found.sentences[0].endswith(said)
    assert f"{'less' if factor < 1 else 'more'} light than before" in found.sentences[1]


def test_another_probe_is_named_as_a_reason_too():
    (said,) = compared(scale=0.80, probe="Q").pairs[0].suspicions
    assert "another probe's scale" in said


@pytest.mark.parametrize(
    ("kept", "zones"),
    [((1.0, 1.0, 0.95), None), ((0.95, 0.94, 0.90), None), ((0.95, 0.95, 0.95), {"list": -0.04, "badge": 0.0})],
    ids=["one channel", "channels unlike", "a zone moved"],
)
def test_wear_that_a_setting_cannot_make_is_not_suspected(kept, zones):
    assert compared(kept, zones).pairs[0].suspicions == ()


@pytest.mark.slow
def test_an_unchanged_panel_is_hardly_ever_suspected():
    said = 0
    for seed in range(60):
        tables = [read(zones=STILL, seed=200 + 2 * seed + i, **NOISE) for i in (0, 1)]
        both = [subject(table, f"no {i}", 900.0 * i, METER) for i, table in enumerate(tables)]
        said += bool(comparison_of(both, panel="demo", facts=FACTS).pairs[0].suspicions)
    assert said <= 2


def warming(share):
    """Read the centre twice over, the reference all the while, on a panel that still loses light."""
    bench = Bench(3, noise=0.0015, drift=lambda t: share * np.exp(-t / 60))
    for _ in range(3):
        read_centre(bench, (1.0, 1.0, 1.0))
    return bench.table()


def test_a_panel_that_was_still_warming_up_is_told_where_white_or_channels_changed():
    then = subject(read(zones=STILL, seed=1, **NOISE), "first", 0.0, METER)
    warm, cold = (
        comparison_of([then, subject(table, "second", 2000.0, METER)], panel="demo", facts=FACTS).pairs[0].suspicions
        for table in (read((1, 1, 0.9), STILL, seed=4, **NOISE), _bluer(warming(0.04)))
    )
    assert warm == ()
    (said,) = cold
    assert said.startswith("At second the reference patch drifted by")
    assert "blue warms up differently from red" in said


@pytest.mark.parametrize(("share", "suspected"), [(0.97, True), (0.004, False)])
def test_no_channel_is_named_for_wear_where_readings_were_not_settled(share, suspected):
    late = {"flagged": {"not-settled": Flagged(share)}}
    found = compared((1.0, 1.0, 0.95), **(late if share else {}))
    assert bool(found.pairs[0].suspicions) is suspected
    assert ("Blue wears most" not in found.sentences[2]) is suspected
    assert ("Blue wears most" not in "\n".join(lines(found))) is suspected
    told = [row[-2:] for row in tables_of(found)["remarks"].rows if row[-2] == "suspicion"]
    assert [sentence for _, sentence in told] == [*found.pairs[0].suspicions]
    if suspected:
        assert "readings were taken before the panel was steady (97 % of the readings)" in found.sentences[0]


def test_an_unchanged_panel_that_was_not_settled_is_told_with_the_flags_alone():
    found = compared(flagged={"not-settled": Flagged(0.97)})
    assert found.pairs[0].suspicions == ()
    assert "not yet steady" in found.sentences[4]


def _bluer(table):
    return replace(table, Z=table.Z * 1.05)
