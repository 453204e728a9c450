"""The probe commands as a person runs them; the instrument is a real server on a real socket or pseudo-terminal."""

import io
import signal
import subprocess
import sys
import threading

import pytest

from panelwear.cli import main
from panelwear.commands.probe_options import patience
from probe_io.simulated import Fault, listed, serve, steady


@pytest.fixture
def light():
    with serve("scpi-colorimeter", steady(95.047, 100.0, 108.883), dwell=False) as server:
        yield ["--instrument", "scpi-colorimeter", "--probe", server.url]


def test_list_names_ports_and_instrument_files(capsys):
    assert main(["probe", "list"]) == 0
    said = capsys.readouterr().out
    assert "scpi-colorimeter" in said
    assert "plain-lines" in said


def test_read_prints_labelled_columns_with_units(light, capsys):
    assert main(["probe", "read", *light]) == 0
    lines = capsys.readouterr().out.splitlines()
    at = next(i for i, line in enumerate(lines) if line.split()[:2] == ["X", "Y"])
    assert lines[at].split() == ["X", "Y", "Z", "x", "y", "u'", "v'", "integration", "took"]
    assert lines[at + 1].split() == ["cd/m²"] * 3 + ["s"] * 2
    # CIE 15: chromaticity of D65.
    assert lines[at + 2].split()[:7] == ["95.047", "100", "108.88", "0.3127", "0.3290", "0.1978", "0.4683"]
    assert lines[at + 3] == "flags: ok"


def test_read_without_light_ends_with_4_and_says_why(capsys):
    faults = [Fault("over-range")]
    with serve("plain-lines", steady(1.0, 1.0, 1.0), faults=faults, dwell=False) as server:
        assert main(["probe", "read", "--instrument", "plain-lines", "--probe", server.url]) == 4
    said = capsys.readouterr().out
    assert "over-range" in said
    assert "more light than the meter can measure" in said


def test_check_gives_mean_spread_and_time(capsys):
    values = [(95.0, 99.0, 108.0), (95.0, 101.0, 108.0)]
    with serve("scpi-colorimeter", listed(values), dwell=False) as server:
        arguments = ["--instrument", "scpi-colorimeter", "--probe", server.url, "--readings", "4", "--zero", "no"]
        assert main(["probe", "check", *arguments]) == 0
    said = capsys.readouterr().out
    # Standard deviation of 99, 101, 99, 101: sqrt(4/3) = 1.2; of their mean half of it.
    assert (
        "100.00 cd/m², standard deviation of one reading 1.2 cd/m² (1.15 %), standard uncertainty of the mean 0.58"
        in said
    )
    assert "4 of 4 readings usable" in said
    assert "time each" in said


def test_check_takes_20_readings_and_the_covered_zero(light, capsys, monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.StringIO("\n"))
    assert main(["probe", "check", *light]) == 0
    said = capsys.readouterr().out
    assert "20 of 20 readings usable" in said
    assert "Zero of the covered probe: 100.0000 cd/m²" in said
    assert "bright for a covered probe" in said


def test_check_without_a_person_leaves_the_zero_out(light, capsys, monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    assert main(["probe", "check", *light, "--readings", "2"]) == 0
    assert "not taken" in capsys.readouterr().out


def test_a_transcript_holds_every_byte(light, capsys, tmp_path):
    path = tmp_path / "bytes.txt"
    assert main(["probe", "check", *light, "--readings", "2", "--zero", "no", "--transcript", str(path)]) == 0
    text = path.read_text(encoding="utf-8")
    assert text.count("READ:XYZ?") == 2
    assert text.count("+1.000000E+02") == 2
    assert str(path) in capsys.readouterr().out


def test_a_keyboard_probe_is_read_from_the_terminal(capsys, monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.StringIO("182,4 0,3127 0,3290\n\n"))
    assert main(["probe", "read", "--probe", "keyboard"]) == 0
    assert "typed-in" in capsys.readouterr().out


def test_a_keyboard_probe_without_anybody_to_type_ends_with_one_sentence(capsys, monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    assert main(["probe", "read", "--probe", "keyboard"]) == 1
    said = capsys.readouterr().err
    assert "nothing was typed and the input has ended" in said
    assert len(said.strip().splitlines()) == 1


def test_a_long_wait_says_what_is_waited_for():
    heard, said = threading.Event(), []

    def say(sentence):
        said.append(sentence)
        heard.set()

    with patience("waiting for the probe", after_s=0.0, say=say):
        assert heard.wait(20.0)
    assert said == ["waiting for the probe"]


def test_a_short_wait_says_nothing(capsys):
    before = threading.active_count()
    with patience("waiting for the probe", after_s=600.0):
        waiting = [thread for thread in threading.enumerate() if isinstance(thread, threading.Timer)]
    for thread in waiting:
        thread.join(20.0)
    assert threading.active_count() == before
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize(
    ("arguments", "code", "sentence"),
    [
        (["--probe", "/dev/no-such-port", "--instrument", "plain-lines"], 4, "no such port"),
        (["--probe", "/dev/no-such-port"], 4, "no instrument file"),
        (["--probe", "/dev/no-such-port", "--instrument", "no-such-meter"], 2, "shipped are"),
        (["--probe", "simulated", "--integration", "-1"], 2, "wanted seconds"),
        (["--probe", "simulated", "--set", "averages"], 2, "wanted NAME=VALUE"),
        (["--probe", "simulated", "--set", "averages=1000"], 2, "a number from 1 to 100"),
        (["--probe", "simulated", "--set", "gain=1"], 2, "known are averages"),
    ],
)
def test_what_goes_wrong_is_one_sentence_and_an_exit_code(arguments, code, sentence, capsys):
    assert main(["probe", "read", *arguments]) == code
    said = capsys.readouterr().err
    assert sentence in said
    assert len(said.strip().splitlines()) == 1


@pytest.mark.parametrize("arguments", [["read"], [], ["fly"], ["read", "--probe"]])
def test_usage_errors_end_with_2(arguments, capsys):
    with pytest.raises(SystemExit) as ended:
        main(["probe", *arguments])
    assert ended.value.code == 2
    assert "--help" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("kind", "code"), [("disconnect", 4), ("broken", 4), ("wrong-identity", 4), ("low-light", 0), ("busy", 0)]
)
def test_every_fault_recovers_or_ends_with_its_sentence(kind, code, capsys):
    with serve("scpi-colorimeter", steady(1.0, 2.0, 3.0), faults=[Fault(kind)], dwell=False) as server:
        assert main(["probe", "read", "--instrument", "scpi-colorimeter", "--probe", server.url]) == code
    said = capsys.readouterr()
    assert bool(said.err) == (code == 4)


def served(*arguments):
    command = [sys.executable, "-m", "panelwear", "probe", "serve", *arguments]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    return process, process.stdout.readline().removeprefix("url: ").strip()


@pytest.mark.parametrize(("dialect", "transport"), [("plain-lines", "pty"), ("scpi-colorimeter", "tcp")])
def test_serve_answers_from_a_file_until_it_is_ended(dialect, transport, tmp_path, capsys):
    path = tmp_path / "light.csv"
    path.write_text("X_cd_m2,Y_cd_m2,Z_cd_m2\r\n47.5235,50,54.4415\r\n", encoding="utf-8", newline="")
    process, url = served("--values", str(path), "--dialect", dialect, "--transport", transport, "--no-dwell")
    try:
        assert main(["probe", "read", "--instrument", dialect, "--probe", url]) == 0
        assert " 50 " in capsys.readouterr().out
    finally:
        process.send_signal(signal.SIGTERM)
        process.communicate(timeout=20)
    assert process.returncode == 0


@pytest.mark.parametrize(
    ("arguments", "code", "sentence"),
    [
        (["--fault", "smoke"], 2, "there is no fault 'smoke'"),
        (["--dialect", "klingon"], 2, "there is no dialect"),
        (["--values", "no-such.csv"], 2, "cannot be read"),
        (["--values", "screen", "--display", ""], 2, "no X display"),
        (["--values", "screen", "--display", ":0", "--at", "middle"], 2, "two numbers of pixels"),
        (["--port", "99999"], 2, "cannot be served"),
    ],
)
def test_serve_refuses_what_makes_no_sense(arguments, code, sentence, capsys):
    assert main(["probe", "serve", "--for", "0", *arguments]) == code
    assert sentence in capsys.readouterr().err


def test_every_bad_row_of_a_file_is_named(tmp_path, capsys):
    path = tmp_path / "light.csv"
    path.write_text("X_cd_m2,Y_cd_m2,Z_cd_m2\n1,2,3\n1,two,3\n1,2\n", encoding="utf-8")
    assert main(["probe", "serve", "--for", "0", "--values", str(path)]) == 2
    said = capsys.readouterr().err
    assert "row 2" in said
    assert "row 3" in said
