"""``panelwear probe stability``: evenings are added up, the terms are told, and written beside what a person wrote."""

import pytest

from panelwear.cli import main
from panelwear.folder.panel import load_probe_settings
from panelwear.readings.stability import StabilityReading, read_stability, stability_store
from panelwear.uncertainty.meter import MeterTerms
from panelwear.upkeep.check import check
from probe_io.simulated import listed, serve


@pytest.fixture
def folder(tmp_path):
    words = ["--name", "harbour-desk", "--pixels", "1920x1080", "--area-mm", "596.7x335.7"]
    assert main(["new", str(tmp_path / "desk"), *words]) == 0
    return tmp_path / "desk"


@pytest.fixture
def light():
    values = [(95.2, 100.2, 108.9), (95.1, 100.1, 108.8), (95.3, 100.3, 109.0)]
    with serve("scpi-colorimeter", listed(values), dwell=False) as server:
        yield ["--instrument", "scpi-colorimeter", "--probe", server.url]


def add_evening(folder, Y, evening=1):
    before = read_stability(folder)
    with stability_store(folder) as store:
        for i in range(1, 4):
            own = Y * (1 + 1e-4 * (i - 2))
            at = f"2026-01-{evening:02d}T20:00:0{i}Z"
            row = (len(before) + i, evening, at, "lamp", "", i, 0.95 * own, own, 1.09 * own, 0.5, "ok")
            store.append(StabilityReading(*row))


def test_the_first_evening_is_stored_and_asks_for_another(folder, light, capsys):
    assert main(["probe", "stability", str(folder), *light, "--readings", "3"]) == 0
    assert "Read the same light on another evening" in capsys.readouterr().out
    rows = read_stability(folder)
    assert [(row.evening, row.repeat, row.light) for row in rows] == [(1, 1, "lamp"), (1, 2, "lamp"), (1, 3, "lamp")]
    assert check(folder).problems == ()
    # Within six hours the evening goes on.
    assert main(["probe", "stability", str(folder), *light, "--readings", "2"]) == 0
    assert [(row.evening, row.repeat) for row in read_stability(folder)][-1] == (1, 5)


def test_the_second_evening_tells_and_writes_beside_what_a_person_wrote(folder, light, capsys):
    add_evening(folder, 99.5)
    stated = (folder / "probe.toml").read_text(encoding="utf-8")
    assert main(["probe", "stability", str(folder), *light, "--readings", "3"]) == 0
    said = capsys.readouterr().out
    assert "Evening 2, lamp" in said
    assert "Not written; --write" in said
    assert (folder / "probe.toml").read_text(encoding="utf-8") == stated

    assert main(["probe", "stability", str(folder), "--tell", "--write"]) == 0
    text = (folder / "probe.toml").read_text(encoding="utf-8")
    assert text.startswith(stated.rstrip())
    terms = load_probe_settings(folder).uncertainty
    # Means 99.5 and 100.2: their standard deviation is ln(100.2 / 99.5) / sqrt(2).
    assert terms.session_scale == pytest.approx(0.00496, rel=2e-3)
    assert terms.session_scale_dof == 1
    assert terms.assumed() == ""
    assert check(folder).problems == ()


def test_the_newest_block_counts_and_taking_it_out_goes_back(folder, capsys):
    add_evening(folder, 99.5)
    add_evening(folder, 100.5, 2)
    assert main(["probe", "stability", str(folder), "--tell", "--write"]) == 0
    first = (folder / "probe.toml").read_text(encoding="utf-8")
    add_evening(folder, 100.4, 3)
    assert main(["probe", "stability", str(folder), "--tell", "--write"]) == 0
    assert load_probe_settings(folder).uncertainty.session_scale_dof == 2
    stated = first[: first.index("# Measured on")]
    (folder / "probe.toml").write_text(stated, encoding="utf-8")
    assert load_probe_settings(folder).uncertainty.session_scale == MeterTerms().session_scale


@pytest.mark.parametrize(("more", "said"), [(["--readings", "1"], "wanted 2 to 1000"), ([], "no probe is named")])
def test_what_cannot_be_done_is_a_sentence(folder, capsys, more, said):
    assert main(["probe", "stability", str(folder), *more]) == 2
    assert said in capsys.readouterr().err


def test_a_block_that_cannot_be_right_is_a_fault_of_the_file(folder):
    path = folder / "probe.toml"
    path.write_text(path.read_text(encoding="utf-8") + "\n[[stability]]\nmeasured = 'x'\nevenings = 1\n")
    assert "evenings" in "".join(check(folder).problems)
    add_evening(folder, 99.5)
    text = (folder / "stability.csv").read_text(encoding="utf-8").replace("2,1,", "7,1,", 1)
    (folder / "stability.csv").write_text(text, encoding="utf-8")
    assert "column row is 7; wanted 2" in "".join(check(folder / "stability.csv").problems)
