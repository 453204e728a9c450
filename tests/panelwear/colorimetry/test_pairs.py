"""The file of paired readings and the command that makes a matrix of it."""

import csv
import io

import numpy as np
import pytest

from panelwear.cli import main
from panelwear.colorimetry.correction import four_colour, load_correction
from panelwear.colorimetry.pairs import TEMPLATE, read_pairs
from panelwear.errors import FileFault
from tests.references import value

INPUTS = value("FCMM-R")["inputs"]
METER = np.vstack([np.array(INPUTS["meter_RGB_XYZ_columns"]).T, INPUTS["meter_W"]])
REFERENCE = np.vstack([np.array(INPUTS["ref_RGB_XYZ_columns"]).T, INPUTS["ref_W"]])
NAMES = ("red", "green", "blue", "white")


def file_of(probe=METER, reference=REFERENCE, names=NAMES):
    out = io.StringIO()
    rows = csv.writer(out)
    rows.writerow(TEMPLATE.splitlines()[0].split(","))
    rows.writerows([name, *p, *r] for name, p, r in zip(names, probe, reference, strict=True))
    return out.getvalue()


def test_rows_of_one_colour_are_averaged():
    text = file_of(np.vstack([METER, METER[:1] * 1.02]), np.vstack([REFERENCE, REFERENCE[:1]]), (*NAMES, "Red"))
    pairs = read_pairs(text, "pairs.csv")
    assert pairs.colours == NAMES
    assert pairs.probe[0] == pytest.approx(METER[0] * 1.01)


def test_chromaticity_and_luminance_serve_as_well_as_tristimulus_values():
    text = "colour,probe_X,probe_Y,probe_Z,reference_Y,reference_x,reference_y\nwhite,95,100,109,100,0.3127,0.3290\n"
    pairs = read_pairs(text, "pairs.csv")
    assert pairs.reference[0] == pytest.approx(value("XYZ-D65")["expected"], abs=1e-6)


def test_every_fault_is_told_with_its_line():
    text = file_of() + "cyan,1,2,3,x,5,6\n,1,2,3,4,5,6\nmagenta,1,2,3,,,\n"
    with pytest.raises(FileFault) as fault:
        read_pairs(text, "pairs.csv")
    assert [p.partition(":")[0] for p in fault.value.problems] == [f"pairs.csv, line {n}" for n in (6, 7, 8)]


def test_an_empty_file_is_told():
    with pytest.raises(FileFault, match="there are no readings"):
        read_pairs("", "pairs.csv")


def test_the_command_writes_a_file_that_gives_the_matrix_back(tmp_path, capsys):
    (tmp_path / "pairs.csv").write_text(file_of(), encoding="utf-8")
    out = tmp_path / "correction.toml"
    words = ["probe", "correct", str(tmp_path / "pairs.csv"), "--out", str(out), "--panel", "harbour-desk"]
    assert main([*words, "--date", "2026-02-03", "--reference", "borrowed"]) == 0
    found = load_correction(out)
    assert (found.matrix == four_colour(METER, REFERENCE)).all()
    assert (found.panel, found.date, found.method) == ("harbour-desk", "2026-02-03", "four-colour")
    assert "What it leaves" in capsys.readouterr().out
    assert main(words) == 2
    assert "Old checkpoints belong to it" in capsys.readouterr().err


def test_the_command_says_which_colour_is_missing_and_when_colours_do_not_add(tmp_path, capsys):
    three = tmp_path / "three.csv"
    three.write_text(file_of(METER[:3], REFERENCE[:3], NAMES[:3]), encoding="utf-8")
    assert main(["probe", "correct", str(three), "--out", str(tmp_path / "a.toml")]) == 2
    assert "there is no white" in capsys.readouterr().err
    assert main(["probe", "correct", str(three), "--method", "least-squares", "--out", str(tmp_path / "a.toml")]) == 0
    brighter = tmp_path / "brighter.csv"
    brighter.write_text(file_of(METER * [[1], [1], [1], [1.2]], REFERENCE * [[1], [1], [1], [1.2]]), encoding="utf-8")
    assert main(["probe", "correct", str(brighter), "--out", str(tmp_path / "b.toml")]) == 0
    assert "does not just add" in capsys.readouterr().out


def test_the_template_has_the_columns_the_reader_wants(capsys):
    assert main(["probe", "correct", "--template"]) == 0
    assert capsys.readouterr().out == TEMPLATE
    assert main(["probe", "correct"]) == 2


def test_a_correction_file_that_is_not_there_is_one_sentence(tmp_path):
    with pytest.raises(FileFault, match="there is no such correction file"):
        load_correction(tmp_path / "correction.toml")
    (tmp_path / "bad.toml").write_text("matrix = [", encoding="utf-8")
    with pytest.raises(FileFault, match="is not TOML"):
        load_correction(tmp_path / "bad.toml")


REPEATED = ("red", "green", "blue", "white") * 5


def repeated() -> tuple[np.ndarray, np.ndarray]:
    wander = 1 + 0.004 * np.random.default_rng(3).standard_normal((20, 1))
    return np.tile(METER, (5, 1)) * wander, np.tile(REFERENCE, (5, 1))


def correct(tmp_path, text, *more):
    (tmp_path / "pairs.csv").write_text(text, encoding="utf-8")
    return main(["probe", "correct", str(tmp_path / "pairs.csv"), "--out", str(tmp_path / "c.toml"), *more])


@pytest.mark.parametrize("method", ["four-colour", "least-squares"])
def test_one_slipped_decimal_among_repeats_is_named_and_nothing_is_written(tmp_path, capsys, method):
    probe, reference = repeated()
    probe[11, 2] /= 10  # the third white, on line 13
    assert correct(tmp_path, file_of(probe, reference, REPEATED), "--method", method) == 2
    assert "line 13 (white, probe)" in capsys.readouterr().err
    assert not (tmp_path / "c.toml").exists()


def test_a_slipped_decimal_without_repeats_is_told_by_the_other_colours(tmp_path, capsys):
    probe = METER.copy()
    probe[1] /= 10
    assert correct(tmp_path, file_of(probe), "--method", "least-squares") == 2
    assert "line 3 (green)" in capsys.readouterr().err


def test_red_and_green_exchanged_in_one_column_is_refused_unless_forced_with_a_reason_that_is_stored(tmp_path, capsys):
    text = file_of(METER[[1, 0, 2, 3]])
    assert correct(tmp_path, text) == 2
    assert "exchanged" in capsys.readouterr().err
    assert correct(tmp_path, text, "--force") == 2
    assert correct(tmp_path, text, "--force", "--because", "an experiment") == 0
    assert load_correction(tmp_path / "c.toml").forced == "an experiment"


@pytest.mark.parametrize(("wrong", "said"), [("nan", "must be numbers"), ("-40", "cannot be negative")])
def test_what_is_no_light_is_refused_with_its_line(tmp_path, capsys, wrong, said):
    text = file_of() + f"cyan,{wrong},50,60,50,50,60\n"
    assert correct(tmp_path, text) == 2
    told = capsys.readouterr().err
    assert "line 6" in told
    assert said in told


def test_semicolons_and_decimal_commas_give_the_same_matrix(tmp_path):
    assert correct(tmp_path, file_of().replace(",", ";").replace(".", ",")) == 0
    assert load_correction(tmp_path / "c.toml").matrix == pytest.approx(four_colour(METER, REFERENCE))


def test_four_colours_are_said_to_prove_nothing_and_more_are_left_out_in_turn(tmp_path, capsys):
    assert correct(tmp_path, file_of()) == 0
    assert "proves nothing" in capsys.readouterr().out
    mixed = [m[:3].sum(axis=0) * 0.5 + 0.2 * m[0] for m in (METER, REFERENCE)]
    cyan = [m[1] + m[2] for m in (METER, REFERENCE)]
    probe, reference = (np.vstack([m, mixed[i], cyan[i]]) for i, m in enumerate((METER, REFERENCE)))
    text = file_of(probe, reference, (*NAMES, "pink", "cyan"))
    assert correct(tmp_path, text, "--method", "least-squares", "--out", str(tmp_path / "d.toml")) == 0
    said = capsys.readouterr().out
    assert "left out in turn" in said
    assert said.count("pink") == 2
