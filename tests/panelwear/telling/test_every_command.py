"""Every command that prints a table or prose, at 80 and 120 columns, over a folder that the real engine filled."""

from __future__ import annotations

import csv
import io
import json
import re
import warnings
from collections.abc import Iterator
from pathlib import Path

import pytest

from panelwear.cli import COMMANDS, main
from panelwear.commands.run_options import session_data
from panelwear.commands.screens import table as table_of_monitors
from panelwear.compare.tables import ROW
from panelwear.figures.checkpoint import figures_of
from panelwear.figures.load import load_evidence
from panelwear.figures.tables import spot_table, summary_of
from panelwear.folder import checkpoint
from panelwear.folder.panel import load_panel
from panelwear.run.session import Outcome
from panelwear.screen.monitors import Monitor
from panelwear.simulation.about import about, table
from panelwear.simulation.model import HARBOUR_DESK_PANEL
from panelwear.simulation.probe import DEFAULT_PROBE
from panelwear.simulation.rehearsal import Rehearsed, Wish, make_panel_folder, rehearse
from panelwear.simulation.result import result_of
from panelwear.telling.layout import text_of
from panelwear.telling.parts import Part
from tests.panelwear.commands.test_probe_stability import add_evening

TINY = str(Path(__file__).parents[1] / "simulation" / "tiny.toml")
WHOLE = re.compile(r"\S*[/\\]\S{20,}|\S+://\S+")
"""Paths and addresses: they are never broken, so they may stand over."""
PAIRS = """colour,probe_X,probe_Y,probe_Z,reference_X,reference_Y,reference_Z
red,41.0,21.0,2.0,41.5,21.4,1.9
green,36.0,72.0,12.0,35.8,71.5,11.9
blue,18.0,7.0,95.0,18.1,7.2,95.1
white,95.0,100.0,109.0,95.4,100.1,108.9
"""


@pytest.fixture(scope="module")
def rehearsed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, tuple[Rehearsed, ...]]:
    panel = make_panel_folder(tmp_path_factory.mktemp("rehearsed") / "harbour-desk")
    return panel, rehearse(panel, Wish(1, TINY, (0.0, 4400.0)), lambda _line: None)


@pytest.fixture(scope="module")
def folder(rehearsed: tuple[Path, tuple[Rehearsed, ...]]) -> Path:
    panel = rehearsed[0]
    (panel / "pairs.csv").write_text(PAIRS, encoding="utf-8")
    for evening, Y in ((1, 99.5), (2, 100.2)):
        add_evening(panel, Y, evening)
    return panel


@pytest.fixture(params=[80, 120, None], ids=["80", "120", "pipe"])
def width(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[int]:
    """Set how wide the terminal is; ``None``: a pipe, of which the program takes 100."""
    columns: int | None = request.param
    if columns is None:
        monkeypatch.delenv("COLUMNS", raising=False)
    else:
        monkeypatch.setenv("COLUMNS", str(columns))
    yield columns or 100


def too_long(text: str, width: int) -> list[str]:
    return [line for line in text.splitlines() if len(line) > width and not WHOLE.search(line)]


COMPARE = ("", "--from 2026-01-05-h0", "--to 2026-01-05-h0", "--level 0.999", "--forecast 20")
TYPED = [
    *(f"compare DIR {more}".strip() for more in COMPARE),
    "forecast DIR", "forecast DIR --use 8h/day", "status DIR", "zones DIR --list", "check DIR",
    "check DIR/pairs.csv DIR/panel.toml",
    "amend DIR 2026-01-05-h0", "discard DIR", "start --list", "show", "sequences", "sequences --panel DIR",
    "sequences checkpoint --panel DIR", "sequences zones", "inspect DIR --hours 6000 --sure --no-probe --dry-run",
    "spot DIR --hours 6000 --sure --no-probe --dry-run", "probe list", "probe read --probe simulated",
    "probe check --probe simulated --zero no --readings 2", "probe stability DIR --tell",
    "probe correct DIR/pairs.csv --out DIR/made.toml --force",
]  # fmt: skip


@pytest.mark.parametrize("typed", TYPED)
def test_no_line_is_longer_than_the_terminal(
    folder: Path, capsys: pytest.CaptureFixture[str], width: int, typed: str
) -> None:
    words = [word.replace("DIR", str(folder)) for word in typed.split()]
    # A file of pairs is none of the files that 'check' knows; that is a sentence too.
    assert main(words) == (2 if "pairs.csv DIR" in typed else 0)
    said = capsys.readouterr().out
    assert too_long(said, width) == []
    assert "…" not in said
    assert "\x1b" not in said
    assert said.strip()


@pytest.mark.parametrize("command", ["", *COMMANDS, "probe read", "probe check", "probe stability", "probe serve"])
def test_no_line_of_help_is_longer_than_the_terminal(
    capsys: pytest.CaptureFixture[str], width: int, command: str
) -> None:
    try:
        main([*command.split(), "--help"])
    except SystemExit as ended:
        assert ended.code == 0
    said = capsys.readouterr().out
    assert "usage: panelwear" in said
    assert too_long(said, width) == []


def after_sessions(panel: Path, done: tuple[Rehearsed, ...]) -> Iterator[list[Part]]:
    """Yield what stands after a session, a spot, a rehearsal; and monitors, for which there is no screen here."""
    first, last = map(figures_of, load_evidence(panel))
    yield summary_of(last)
    yield spot_table(last, first)
    yield about(HARBOUR_DESK_PANEL, DEFAULT_PROBE, 1)
    yield table(result_of(load_evidence(panel), load_panel(panel).facts(), [one.true_values for one in done]))
    yield [table_of_monitors([Monitor(0, 3840, 2160, "main", (0, 0)), Monitor(1, 2560, 1440, scaled=True)])]


@pytest.mark.parametrize("columns", [80, 120])
def test_what_stands_after_sessions_fits_too(rehearsed: tuple[Path, tuple[Rehearsed, ...]], columns: int) -> None:
    for said in after_sessions(*rehearsed):
        text = text_of(said, columns)
        assert text
        assert too_long(text, columns) == []
        # Nothing that stands there in a wide terminal is missing in a narrow one.
        assert sorted(text.split()) == sorted(text_of(said, 300).split())


def test_quiet_says_only_what_was_asked_for(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    def said(*words: str) -> str:
        assert main([*words]) == 0
        return capsys.readouterr().out

    whole = said("compare", str(folder))
    verdict = said("-q", "compare", str(folder))
    assert verdict == said("compare", str(folder), "--quiet")
    assert whole.startswith(verdict)
    assert "change ± (95 %)" in whole and "change ±" not in verdict and "compensation cycle" in verdict
    assert said("-q", "status", str(folder)).startswith("next: ")
    assert said("check", "-q", str(folder / "panel.toml")) == ""
    for words in (("probe", "read", "-q"), ("probe", "-q", "read"), ("-q", "probe", "read")):
        read = said(*words, "--probe", "simulated")
        assert "Probe:" not in read and "cd/m²" in read


def test_quiet_alone_is_no_command(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "SDL_VIDEODRIVER"):
        monkeypatch.delenv(name, raising=False)
    assert main(["-q"]) == 0
    assert "No start screen" in capsys.readouterr().out


def test_one_checkpoint_has_its_figures_in_json(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["compare", str(folder), "--to", "2026-01-05-h0", "--json"]) == 0
    [only] = json.loads(capsys.readouterr().out)["checkpoints"]
    assert only["name"] == "2026-01-05-h0"
    peak = next(figure for figure in only["figures"] if figure["name"] == "white.Y")
    assert peak["unit"] == "cd/m²"
    assert peak["interval_95"][0] < peak["value"] < peak["interval_95"][1]


def test_a_session_and_a_dry_run_are_plain_data(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = checkpoint.find(folder, "2027-01-07-h4400")
    outcome = Outcome(found, 1, tuple(found.rows()))
    data = json.loads(json.dumps(session_data(outcome, figures_of(load_evidence(folder)[1])), allow_nan=False))
    assert data["readings"] == len(found.rows()) > 0
    assert {"name", "value", "unit", "u", "dof", "limit", "interval_95", "note"} <= set(data["figures"][0])
    words = ["--hours", "6000", "--sure", "--no-probe", "--dry-run", "--json"]
    assert main(["inspect", str(folder), *words]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [step["number"] for step in told["steps"]] == list(range(1, len(told["steps"]) + 1))
    assert told["effort"]["readings"] > told["effort"]["patches"] > 100


def test_probe_read_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["probe", "read", "--probe", "simulated", "--json"]) == 0
    read = json.loads(capsys.readouterr().out)
    assert (read["Y_cd_m2"], round(read["x"], 4), round(read["v_prime"], 4)) == (100.0, 0.3127, 0.4683)  # D65, CIE 15
    assert read["flags"] == []


SUFFIX = {"%": "_percent", "h": "_h", "cd/m²": "_cd_m2", "K": "_K"}


def test_every_csv_table_has_its_units_and_a_general_library_reads_it(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["compare", str(folder), "--json"]) == 0
    tables = json.loads(capsys.readouterr().out)["tables"]
    assert len(tables) > 10
    for one in tables:
        units = {column["name"]: column["unit"] for column in one["columns"]}
        for name, unit in units.items():
            assert unit in {"", "1", ROW} or name.endswith(SUFFIX[unit]) or name == "hours", (one["name"], name)
            assert unit != ROW or "unit" in units, (one["name"], name)
        out = tmp_path / f"{one['name']}.csv"
        assert main(["compare", str(folder), "--csv", one["name"], "--out", str(out), "-q"]) == 0
        assert capsys.readouterr().out == ""
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # the library's own use of deprecated calls is not ours to judge
            from csvw import CSVW

            group = CSVW(str(out.with_name(f"{out.name}-metadata.json")), validate=True)
            assert group.is_valid, one["name"]
            read = list(group.tables[0].iterdicts())
        assert len(read) == len(one["rows"])
    described = json.loads((tmp_path / "zones.csv-metadata.json").read_text(encoding="utf-8"))["tableSchema"]["columns"]
    assert next(c for c in described if c["name"] == "contrast_percent")["schema:unitText"] == "%"


def test_a_table_is_written_over_its_own_kind_alone(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "changes.csv"
    for _ in range(2):
        assert main(["compare", str(folder), "--csv", "changes", "--out", str(out)]) == 0
    assert main(["compare", str(folder), "--csv", "trend", "--out", str(out)]) == 2
    assert out.read_text(encoding="utf-8").startswith("since,from,to")
    assert main(["compare", str(folder), "--out", str(out)]) == 2
    beside = tmp_path / "trend.csv-metadata.json"
    beside.write_text("what somebody else wrote", encoding="utf-8")
    assert main(["compare", str(folder), "--csv", "trend", "--out", str(tmp_path / "trend.csv")]) == 2
    assert beside.read_text(encoding="utf-8") == "what somebody else wrote"
    assert not (tmp_path / "trend.csv").exists()


def test_numbers_end_where_their_uncertainty_does(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    # JCGM 100:2008, 7.2.6: at most two significant digits of an uncertainty, the result to the same place.
    assert main(["compare", str(folder), "--csv", "changes"]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out, newline="")))
    told = [
        (row[value], row[u]) for row in rows for value, u in (("change", "u"), ("then", "then_u"), ("now", "now_u"))
    ]
    told = [(value, u) for value, u in told if value and u and float(u) > 0]
    assert len(told) > 10
    for value, u in told:
        digits = f"{float(u):.1e}"
        assert float(digits) == float(u), u
        place = int(digits.partition("e")[2]) - 1
        assert round(float(value), -place) == float(value), (value, u)
