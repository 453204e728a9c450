"""Photographs of a panel's checkpoints compared: verdicts, what stands beside them, tables, zones made of regions."""

from __future__ import annotations

import csv
import io
import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from panelwear.camera.shots import Shot
from panelwear.camera.synthetic import MadeNoise, marked_for_showing, synthetic_map
from panelwear.camera.wear.beside import beside
from panelwear.camera.wear.findings import MapEnd, compare_photographs, pairs_of
from panelwear.camera.wear.told import photograph_parts, photograph_tables
from panelwear.cli import main
from panelwear.compare.comparison import End
from panelwear.errors import UsageError
from panelwear.folder.panel import load_panel
from panelwear.folder.zone_places import ZonePlace
from panelwear.simulation.rehearsal import Wish, make_panel_folder, rehearse
from panelwear.telling.layout import text_of
from panelwear.uncertainty.estimate import Estimate
from patterns.frame import Rect
from sequences.model import Zone
from tests.panelwear.camera.photographed import LOGO, add_maps

PX = (1280, 720)
ZONES = (
    Zone("chart", Rect(0, 0, 1280, 720), (600, 300)),
    Zone("list", Rect(0, 0, 256, 720), (100, 300), "chart"),
    Zone("badge", Rect(1000, 40, 160, 80), (1080, 80), "chart"),
)
BLUE = Shot("blue-c180", "field", (0.0, 0.0, 180.0))
TINY = str(Path(__file__).parents[2] / "simulation" / "tiny.toml")


def end(number: int, change: float, seed: int, **how) -> MapEnd:
    noise = MadeNoise(0.003, 1.0)
    maps = tuple(
        synthetic_map(((ZONES[1].rect, change),), noise, seed=seed + i, panel_px=PX, **how, **shot)
        for i, shot in enumerate(({}, {"shot": BLUE}))
    )
    return MapEnd(End(f"c{number}", 1000.0 * number, ""), maps)


def test_what_limits_a_map_names_its_checkpoint_and_its_fields():
    then, now = end(0, 0.0, 1), end(1, -0.01, 11)
    wave, dark = "a wave of 0.637 % of the light", "no photograph of black"
    grey, blue = now.maps
    limited = replace(now, maps=(replace(grey, cautions=(dark,)), replace(blue, cautions=(dark, wave))))
    pair = compare_photographs("baseline", then, limited, ZONES)
    assert pair.cautions == (f"c1, all fields: {dark}", f"c1, blue, drive level 180: {wave}")

    # Of a checkpoint only what pairs counts; a field that stands alone is named.
    pair = compare_photographs(
        "baseline", replace(limited, end=then.end), replace(limited, maps=limited.maps[1:]), ZONES
    )
    of_blue = (f"blue, drive level 180: {dark}", f"blue, drive level 180: {wave}")
    assert pair.cautions == tuple(f"{name}, {said}" for name in ("c0", "c1") for said in of_blue)
    told = " ".join(text_of(photograph_parts([pair], 0.95), 80).split())
    assert f"c0, blue, drive level 180: {wave}." in told


def test_a_worn_zone_changed_and_an_unchanged_one_is_told_how_little():
    pair = compare_photographs("baseline", end(0, 0.0, 1), end(1, -0.01, 11), ZONES)
    verdicts = {(one.zone, one.field): one.judged.verdict for one in pair.zones if one.judged}
    assert verdicts == {
        ("list", "grey 20 cd/m²"): "changed",
        ("list", "blue, drive level 180"): "changed",
        ("badge", "grey 20 cd/m²"): "no change larger than",
        ("badge", "blue, drive level 180"): "no change larger than",
    }
    assert pair.simulated and pair.fields == ("grey 20 cd/m²", "blue, drive level 180")
    assert all(one.against == "'chart' beside it" and one.now is not None for one in pair.zones)


def test_unchanged_zones_are_seldom_called_changed():
    pairs = [compare_photographs("baseline", end(0, 0.0, 4 * n), end(1, 0.0, 4 * n + 2), ZONES) for n in range(12)]
    false = sum(any(one.judged and one.judged.verdict == "changed" for one in pair.zones) for pair in pairs)
    assert false <= 3  # 5 % a pair: more than three of twelve in 0.2 %


def test_a_jpeg_bears_no_verdict_and_no_region():
    after = end(1, -0.03, 11)
    after = replace(after, maps=tuple(marked_for_showing(one) for one in after.maps))
    pair = compare_photographs("baseline", end(0, 0.0, 1), after, (ZONES[0], ZONES[2]))
    assert {one.judged for one in pair.zones} == {None} and pair.regions == ()
    rows = photograph_tables([pair], 0.95)["photo-zones"].rows
    assert all("" in row for row in rows)


def test_a_zone_that_was_moved_is_not_told():
    before = replace(end(0, 0.0, 1), zone_places={"list": (ZonePlace(Rect(900, 0, 256, 720), (1000, 300)),)})
    pair = compare_photographs("baseline", before, end(1, -0.01, 11), ZONES)
    assert {one.zone for one in pair.zones} == {"badge"}
    assert any("zone 'list' was moved" in why and "at c0" in why for why in pair.not_compared)


def test_pairs_are_since_the_first_and_since_last_time_or_those_asked_for():
    ends = [end(n, -0.01 * n, 10 * n + 1) for n in range(3)]
    told = [(p.since, p.before.name, p.after.name) for p in pairs_of(ends, ZONES)]
    assert told == [("baseline", "c0", "c2"), ("last", "c1", "c2")]
    assert [p.before.name for p in pairs_of(ends, ZONES, since="c1")] == ["c1"]
    assert pairs_of(ends, ZONES, since="gone") == pairs_of(ends[:1], ZONES) == ()


def test_nothing_stands_beside_a_zone_nobody_read():
    assert beside(BLUE, Estimate("x", -1.0, "%", 0.1), None, None) == ()


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = make_panel_folder(tmp_path_factory.mktemp("photographed") / "harbour-desk")
    rehearse(folder, Wish(1, TINY, (0.0, 4400.0)), lambda _line: None)
    add_maps(folder)
    return folder


@pytest.fixture
def folder(made, tmp_path):
    return Path(shutil.copytree(made, tmp_path / "harbour-desk"))


def test_compare_has_a_section_photographs(made, capsys):
    assert main(["compare", str(made)]) == 0
    said = capsys.readouterr().out
    assert "\nPhotographs\n" in said and "simulated photographs" in said
    assert "1 region changed that no zone names" in said
    assert "Photographs and colorimeter do not agree: change by photographs" in " ".join(said.split())
    assert main(["compare", str(made), "-q"]) == 0
    assert "Photographs" not in capsys.readouterr().out


def test_csv_and_json_hold_what_photographs_say(made, capsys):
    assert main(["compare", str(made), "--csv", "photo-zones"]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out, newline="")))
    worn = [row for row in rows if row["zone"] == "vessel-list"]
    assert [row["verdict"] for row in worn] == ["changed"] * 3
    assert all(abs(float(row["change_percent"]) + 3) < 4 * float(row["u_percent"]) for row in worn)
    assert main(["compare", str(made), "--json"]) == 0
    tables = {one["name"]: one for one in json.loads(capsys.readouterr().out)["photographs"]}
    assert set(tables) == {"photo-zones", "photo-beside", "photo-regions", "photo-not-compared"}
    assert tables["photo-beside"]["rows"] and {"colorimeter"} <= {r["by"] for r in tables["photo-beside"]["rows"]}


def test_regions_are_listed_and_become_zones(folder, capsys):
    before = (folder / "panel.toml").read_text(encoding="utf-8")
    assert main(["camera", "zones", str(folder)]) == 0
    said = capsys.readouterr().out
    assert "in 'chart'" in said and "--add NAME=1" in said
    assert main(["camera", "zones", str(folder), "--add", "logo=1"]) == 0
    assert "Zone 'logo'" in capsys.readouterr().out
    zone = load_panel(folder).zones[-1]
    assert (zone.name, zone.reference) == ("logo", "chart")
    assert max(abs(zone.rect.x - LOGO.x), abs(zone.rect.right - LOGO.right), abs(zone.rect.y - LOGO.y)) <= 6
    assert (folder / "panel.toml").read_text(encoding="utf-8").startswith(before.rstrip("\n"))
    # What has a name is found no more.
    assert main(["camera", "zones", str(folder)]) == 0
    assert "No region outside the named zones changed" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("wish", "why"),
    [("logo", "wanted NAME=N"), ("logo=9", "there is no region 9"), ("chart=1", "'chart' is used twice"),
     ("a b=1", "must be a word")],
)  # fmt: skip
def test_what_cannot_be_added_says_why_and_changes_nothing(folder, wish, why, capsys):
    before = (folder / "panel.toml").read_bytes()
    assert main(["camera", "zones", str(folder), "--add", "ok=1", "--add", wish]) == UsageError.exit_code
    assert why in capsys.readouterr().err
    assert (folder / "panel.toml").read_bytes() == before


def test_without_maps_there_is_a_sentence(folder, capsys):
    for path in (folder / "checkpoints").glob("*/maps"):
        shutil.rmtree(path)
    assert main(["camera", "zones", str(folder)]) == UsageError.exit_code
    assert "have maps" in capsys.readouterr().err
    assert main(["compare", str(folder)]) == 0
    assert "Photographs" not in capsys.readouterr().out


def test_photographs_alone_are_compared_too(folder, capsys):
    for checkpoint in (folder / "checkpoints").iterdir():
        for path in checkpoint.iterdir():
            if path.is_file() and path.name != "checkpoint.json":
                path.unlink()
        record = json.loads((checkpoint / "checkpoint.json").read_text(encoding="utf-8"))
        kept = ("format", "software", "panel", "hours", "cycles", "started_utc")
        record = {key: record[key] for key in kept} | {"status": "open", "answers": {}, "sessions": []}
        (checkpoint / "checkpoint.json").write_text(json.dumps(record), encoding="utf-8")
    assert main(["compare", str(folder)]) == 0
    said = capsys.readouterr().out
    assert said.startswith("Nothing was read with a probe yet; photographs alone.") and "vessel-list" in said
    assert main(["compare", str(folder), "--csv", "photo-regions"]) == 0
    assert capsys.readouterr().out.count("\n") == 1 + 3
    assert main(["compare", str(folder), "--json"]) == 0
    assert set(json.loads(capsys.readouterr().out)) == {"faults", "photographs"}


def test_a_damaged_map_is_said_and_the_others_count(folder, capsys):
    path = next(iter(sorted((folder / "checkpoints").glob("*/maps/blue-c180.npz"))))
    path.write_bytes(b"x")
    assert main(["compare", str(folder)]) == 0
    out, err = capsys.readouterr()
    assert "not a map that can be read" in " ".join(err.split())
    assert "grey 120 cd/m²" in out and "blue-c180: was not photographed at the earlier checkpoint" in " ".join(
        out.split()
    )


def test_the_report_says_which_maps_cannot_be_read(folder):
    path = next(iter(sorted((folder / "checkpoints").glob("*/maps/blue-c180.npz"))))
    path.write_bytes(b"x")
    assert main(["report", str(folder), "--out", str(folder / "report.html")]) == 0
    assert "not a map that can be read" in " ".join((folder / "report.html").read_text(encoding="utf-8").split())


def test_the_report_shows_them(made, capsys):
    assert main(["report", str(made), "--out", str(made.parent / "report.html")]) == 0
    page = (made.parent / "report.html").read_text(encoding="utf-8")
    assert page.count('<figure id="picture-photo-') == 1 + 6 and "image/webp" in page
    assert '<section id="photographs">' in page and "Regions that changed and that no zone names" in page
    assert "prefers-reduced-motion" in page
    assert main(["report", str(made), "--grain"]) == UsageError.exit_code
