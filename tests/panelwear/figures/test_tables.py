"""What a person reads of the figures."""

from dataclasses import replace

import numpy as np

from panelwear.figures import of_checkpoint, spot_table, summary
from panelwear.figures.tables import summary_of
from panelwear.uncertainty.meter import MeterTerms
from tests.panelwear.figures.handmade import Bench
from tests.panelwear.figures.test_figures import spot
from tests.panelwear.telling.unbroken import unbroken


def test_the_spot_table_has_everything_with_uncertainty_and_stands_beside_the_last_checkpoint():
    now = of_checkpoint(spot(seed=1, noise=0.001).table(), MeterTerms())
    before = of_checkpoint(spot(seed=2, noise=0.001).table(), MeterTerms())
    lines = unbroken(spot_table(now, before))
    text = "\n".join(lines)
    assert "last checkpoint" in lines[0]
    for part in (
        "peak luminance",
        "10 % window",
        "x",
        "u'",
        "CCT",
        "Duv",
        "from D65",
        "additivity",
        "black",
        "contrast",
    ):
        assert part in text, part
    [peak] = [line for line in lines if line.startswith("peak luminance  ")]
    assert peak.count("±") == 2
    assert "cd/m²" in peak
    assert "at the" in peak
    assert "last checkpoint" not in unbroken(spot_table(now))[0]


def test_a_flag_all_figures_bear_is_said_once_and_others_stay_where_they_belong():
    bench = spot(seed=1, noise=0.001)
    bench.rows = [replace(r, flags="not-settled") for r in bench.rows]
    bench.read("loading/centre/grey/c255/w25", "loading", 290, flags="limiter not-settled")
    lines = unbroken(spot_table(of_checkpoint(bench.table(), MeterTerms())))
    assert lines[-1] == "Every figure is flagged not-settled."
    assert sum("not-settled" in line for line in lines) == 1
    [limited] = [line for line in lines if "25 % window" in line and "peak" not in line]
    assert limited.endswith("limiter")


def test_a_white_asked_for_by_luminance_is_headed_by_what_was_asked_for():
    bench = spot(seed=1, noise=0.001)
    bench.read("white/centre/grey/Y100/w10", "white", 131.5)
    bench.rows[-5:] = [replace(r, level_basis="assumed-response") for r in bench.rows[-5:]]
    lines = unbroken(spot_table(of_checkpoint(bench.table(), MeterTerms())))
    at = lines.index("white, asked for 100 cd/m², 10 % window")
    assert lines[at + 1].strip().startswith("luminance")
    assert "131." in lines[at + 1]
    assert lines[at + 1].endswith("by an assumed response")
    assert sum("assumed response" in line for line in lines) == 1


def test_a_figure_the_last_checkpoint_lacks_shows_a_dash():
    now = of_checkpoint(spot(seed=1, noise=0.001).table(), MeterTerms())
    before = {name: e for name, e in now.items() if name != "additivity"}
    [line] = [line for line in unbroken(spot_table(now, before)) if line.startswith("additivity")]
    assert line.rstrip().endswith("—")


def test_the_summary_is_short_and_says_how_many_readings_were_left_out():
    bench = spot(seed=1, noise=0.001)
    bench.read("loading/centre/grey/c255/w10", "loading", 300, flags="disturbed")
    lines = unbroken(summary(bench.table()))
    assert len(lines) == 12
    assert lines[-1].startswith("5 readings could not be used")
    for part in ("CCT", "Duv", "peak", "black", "contrast", "gamma"):
        assert any(part in line for line in lines), part


def test_what_holds_for_all_figures_is_said_below_them():
    bench = Bench(noise=0.001)
    bench.put()
    for hue, Y in (("grey", 150.0), ("red", 30.0), ("green", 60.0), ("blue", 10.0)):
        bench.read(f"primary/centre/{hue}/c255/w10", "primary", Y, colour=False)
    found = of_checkpoint(bench.table(), MeterTerms(), correction=np.eye(3))
    text = "\n".join(unbroken(summary_of(found)))
    assert "Drift was not taken out" in text
    assert "luminance only" in text
    assert "White is 1.5" in text
    assert of_checkpoint(spot(noise=0.001).table(), MeterTerms(), correction=np.eye(3)).notes == ()


def test_without_readings_a_sentence_says_so():
    empty = spot().table()
    empty = empty.where(empty.Y > 1e9)
    assert unbroken(summary(empty)) == ["There are no readings a figure could be worked out from."]
    assert unbroken(spot_table({})) == ["There are no readings a figure could be worked out from."]
