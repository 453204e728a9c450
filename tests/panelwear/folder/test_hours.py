"""Hours of use as a person writes them, and how they are known."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from panelwear.cli import main
from panelwear.errors import FileFault, UsageError
from panelwear.figures.circumstances import circumstances_of
from panelwear.folder import amendments, checkpoint
from panelwear.folder.hours import HoursOfUse, between, check_hours, overlap_told, parse_hours, recorded
from panelwear.folder.odd_hours import odd_hours, overlap_of
from panelwear.folder.overlapping_hours import overlapping_hours
from panelwear.folder.record import checked_record

NOW = datetime(2026, 2, 3, 20, tzinfo=UTC)


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("3600", HoursOfUse(3600)),
        ("1460,5", HoursOfUse(1460.5)),
        ("1460.5 h", HoursOfUse(1460.5)),
        ("3,600 h", HoursOfUse(3600)),
        ("1,234,5", None),
        ("0", HoursOfUse(0)),
        ("1e3", HoursOfUse(1000)),
        ("3600 counted", HoursOfUse(3600, "counted")),
        ("counted 3,600 hours", HoursOfUse(3600, "counted")),
        ("3600 h, read", HoursOfUse(3600)),
        ("2100-2500", between(2100, 2500)),
        ("2100 h - 2500 h", between(2100, 2500)),
        ("2100–2500", between(2100, 2500)),
        ("2,100 to 2,500 h", between(2100, 2500)),
        ("2,100-2,500", between(2100, 2500)),
        ("2100..2500", between(2100, 2500)),
        ("2100.5..2500", between(2100.5, 2500)),
        ("between 2100 and 2500 h", between(2100, 2500)),
        ("2300 ± 200", between(2100, 2500)),
        ("2300 +/- 200 h", between(2100, 2500)),
        ("2100 to 2500 estimated", between(2100, 2500)),
        ("200 ± 200", between(0, 400)),
        ("1e-3", HoursOfUse(0.001)),
        ("0.125", HoursOfUse(0.125)),
        ("0,125", HoursOfUse(0.125)),
        ("12.1250", HoursOfUse(12.125)),
        ("1460.125-1500.125", between(1460.125, 1500.125)),
    ],
)
def test_plain_spellings_are_read(text: str, hours: HoursOfUse | None) -> None:
    if hours is None:
        with pytest.raises(ValueError, match="write hours such as 3600"):
            parse_hours(text)
        return
    found = parse_hours(text)
    assert found == hours
    assert parse_hours(found.text) == found  # what is told can be typed again
    assert parse_hours(check_hours(text)) == found


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "write hours such as 3600"),
        ("many", "'many': write hours such as 3600, '3600 counted' or a range such as 2100-2500"),
        ("nan", "write hours"),
        ("inf", "hours of use lie within 0..1000000"),
        ("-3", "-3: hours of use lie within 0..1000000"),
        ("\u22123", "-3: hours of use lie within"),
        ("1e9", "hours of use lie within 0..1000000"),
        ("1e999", "hours of use lie within 0..1000000"),
        ("2500-2100", "begins with the smaller number"),
        ("2100-2100", "begins with the smaller number"),
        ("2100-9999999", "hours of use lie within"),
        ("2100-2500 counted", "a range is estimated; leave 'counted' out"),
        ("3600 estimated", "estimated hours are a range"),
        ("3600 read counted", "hours are known in one way"),
        ("2100-2300-2500", "write hours"),
        ("3600 counted twice", "write hours"),
        ("9" * 5000, "hours of use lie within"),
        ("2100 ± 5000", "'2100 ± 5000': goes below 0; write the range itself, such as 0-7100"),
        ("100 +/- 200 h", "goes below 0; write the range itself, such as 0-300"),
        ("2.100-2.500", "'2.100' can be 2100 or 2.1; write the one that is meant"),
        ("2100-2.500", "'2.500' can be 2500 or 2.5"),
        ("2.100 counted", "'2.100' can be 2100 or 2.1"),
        ("100.000", "'100.000' can be 100000 or 100;"),
        ("2.100,5", "write hours such as 3600"),
        ("1_000", "'1_000': write hours such as 3600"),
    ],
)
def test_anything_else_has_one_sentence(text: str, said: str) -> None:
    with pytest.raises(ValueError, match=r"\S") as caught:
        parse_hours(text)
    assert said in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("hours", [HoursOfUse(12.125), HoursOfUse(999.001, "counted"), between(1.125, 100.5)])
def test_what_the_program_writes_of_hours_reads_in_one_way_only(hours: HoursOfUse) -> None:
    assert parse_hours(hours.text) == hours


def test_the_standard_uncertainty_of_a_range_is_that_of_a_rectangle() -> None:
    # JCGM 100:2008, 4.3.7, example 1 (from memory): 16.52 with an error of at most 0.40 has u = 0.23.
    assert between(16.12, 16.92).u == pytest.approx(0.23, abs=0.002)
    # The same by equation (7), half the width over the root of 3, by hand: 200 / 1.7320508 = 115.4701.
    assert between(2100, 2500).u == pytest.approx(115.4701, abs=1e-4)
    assert HoursOfUse(2300, "counted").u == 0.0
    assert HoursOfUse(2300).u == 0.0


def test_the_record_keeps_the_middle_and_what_is_known(tmp_path: Path) -> None:
    found = checkpoint.open_or_create(tmp_path, "harbour-desk", between(2100, 2500), None, NOW)

    assert found.name == "2026-02-03-h2300"
    again = checkpoint.load(found.directory)
    assert again.use == between(2100, 2500)
    assert again.hours == 2300
    how = circumstances_of(again.corrected)
    assert (how.hours_kind, how.hours_low, how.hours_high) == ("estimated", 2100, 2500)
    assert how.hours_u == pytest.approx(400 / math.sqrt(12))


def test_an_older_record_was_read_from_the_menu() -> None:
    assert recorded({"hours": 1460}) == HoursOfUse(1460, "read")
    assert circumstances_of({"hours": 1460}).hours_u == 0.0


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"hours_kind": "guessed"}, "hours_kind: 'guessed' is not known"),
        ({"hours_kind": "estimated"}, "hours_low and hours_high must say between what"),
        ({"hours_kind": "estimated", "hours_low": 10, "hours_high": 20}, "hours: 100 h is outside 10 to 20 h"),
        ({"hours_kind": "estimated", "hours_low": -1, "hours_high": 200}, "hours_low: -1 is out of range"),
        ({"hours_kind": "estimated", "hours_low": 10, "hours_high": 1e308}, "hours_high: 1e+308 is out of range"),
        ({"hours_low": 1e300}, "hours_low: 1e+300 is out of range; allowed: 0 to 1000000 h"),
    ],
)
def test_a_record_whose_hours_do_not_go_together_is_refused(keys: dict[str, object], said: str) -> None:
    record = {"format": "panelwear checkpoint 2", "hours": 100, "status": "open", "started_utc": "", "sessions": []}
    with pytest.raises(FileFault) as caught:
        checked_record(record | keys, "checkpoint.json")
    assert said in str(caught.value)


def closed(folder: Path, hours: HoursOfUse, now: datetime = NOW) -> checkpoint.Checkpoint:
    found = checkpoint.open_or_create(folder, "harbour-desk", hours, None, now)
    found.close(now)
    return found


def test_a_range_that_overlaps_the_last_checkpoint_is_told_and_taken(tmp_path: Path) -> None:
    last = closed(tmp_path, between(2100, 2500))
    later = NOW + timedelta(days=30)

    assert overlap_of([last], between(2400, 2800)) == (
        "2400 to 2800 h overlaps 2026-02-03-h2300 at 2100 to 2500 h: anything from none to 700 h of use may lie "
        "between the two, and which was first cannot be told from hours; their dates order them"
    )
    assert overlap_of([last], between(2600, 2800)) == ""
    assert overlap_of([last], HoursOfUse(2400)) != ""
    assert checkpoint.open_or_create(tmp_path, "harbour-desk", between(2400, 2800), None, later).hours == 2600


@dataclass(frozen=True)
class Used:
    name: str
    use: HoursOfUse


def test_each_checkpoint_that_overlaps_an_earlier_one_is_found_in_any_order() -> None:
    there = [
        Used("a", HoursOfUse(0)),
        Used("b", between(2000, 3000)),
        Used("c", HoursOfUse(2600)),
        Used("d", HoursOfUse(2700)),
        Used("e", between(3000, 3200)),
        Used("f", HoursOfUse(3300)),
    ]
    found = overlapping_hours(reversed(there))

    # By hours c and d are in order, and e begins where b ends.
    assert [(one.earlier, one.later) for one in found] == [("b", "c"), ("b", "d")]
    assert found[1].sentence.startswith("d at 2700 h overlaps b at 2000 to 3000 h: anything from none to 700 h of use")
    assert overlapping_hours(there[:1]) == overlapping_hours([]) == ()


def test_status_check_and_amend_say_that_hours_overlap(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "panel.toml").write_text('name = "x"\npixels = [1280, 720]\nactive_area_mm = [598, 336]\n')
    closed(tmp_path, HoursOfUse(2000))
    last = closed(tmp_path, HoursOfUse(2400), NOW + timedelta(days=30))
    said = "2026-03-05-h2400 at 2400 h overlaps 2026-02-03-h2000 at 2100 to 2500 h: anything from none to 300 h"
    for command in ("status", "check"):
        main([command, str(tmp_path)])
        assert "overlaps" not in capsys.readouterr().out

    assert main(["amend", str(tmp_path), "2026-02-03-h2000", "--why", "x", "--set", "hours=2100-2500"]) == 0
    assert said in " ".join(capsys.readouterr().out.split())
    assert main(["check", str(tmp_path)]) == 0
    assert said in " ".join(capsys.readouterr().out.split())
    assert main(["status", str(tmp_path)]) == 0
    assert said in " ".join(capsys.readouterr().out.split())
    assert main(["amend", str(tmp_path), last.name, "--why", "x", "--set", "cycles=3"]) == 0
    assert "overlaps" not in capsys.readouterr().out


def test_a_range_whose_order_cannot_be_known_is_refused(tmp_path: Path) -> None:
    closed(tmp_path, between(2100, 2500))
    later = NOW + timedelta(days=30)

    with pytest.raises(UsageError, match="which of the two comes first cannot be known"):
        checkpoint.open_or_create(tmp_path, "harbour-desk", between(2000, 2400), None, later)
    with pytest.raises(UsageError, match="at 2100 to 2500 h; hours only rise"):
        checkpoint.open_or_create(tmp_path, "harbour-desk", HoursOfUse(1000), None, later)
    assert len(checkpoint.all_of(tmp_path)) == 1


def test_two_exact_hours_never_overlap() -> None:
    assert overlap_told(HoursOfUse(100), HoursOfUse(100), "a") == ""


def test_a_range_is_odd_only_where_its_least_cannot_be(tmp_path: Path) -> None:
    last = closed(tmp_path, HoursOfUse(100))

    assert odd_hours([last], between(110, 900), NOW + timedelta(days=1)) == ""
    assert "400 h more cannot have passed" in odd_hours([last], between(500, 900), NOW + timedelta(days=1))


def test_an_open_checkpoint_is_gone_on_with_by_its_range_or_its_middle(tmp_path: Path) -> None:
    found = checkpoint.open_or_create(tmp_path, "harbour-desk", between(2100, 2500), None, NOW)

    for hours in (between(2100, 2500), HoursOfUse(2300), 2300.0, None):
        again = checkpoint.open_or_create(tmp_path, "harbour-desk", hours, None, NOW)
        assert (again.name, again.use) == (found.name, between(2100, 2500))
    counted = checkpoint.open_or_create(tmp_path, "harbour-desk", HoursOfUse(2300, "counted"), None, NOW)
    assert counted.use == HoursOfUse(2300, "counted")
    with pytest.raises(UsageError, match="go on with it with --hours '2300 counted'"):
        checkpoint.open_or_create(tmp_path, "harbour-desk", 2500, None, NOW)


def test_hours_are_amended_with_how_they_are_known(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "panel.toml").write_text('name = "x"\npixels = [1280, 720]\nactive_area_mm = [598, 336]\n')
    found = closed(tmp_path, HoursOfUse(2300))
    words = ["amend", str(tmp_path), found.name, "--why", "the menu was misread"]

    assert main([*words, "--set", "hours=2,100 to 2,500 h"]) == 0
    assert "hours is 2100-2500 from now on, was 2300" in capsys.readouterr().out
    again = checkpoint.load(found.directory)
    assert again.use == between(2100, 2500)
    assert again.record["hours_kind"] == "read"
    (entry,) = again.amendments()
    assert "hours is 2100 to 2500 h, estimated, was 2300 h, read from the panel's menu" in amendments.told(entry)
    assert main([*words, "--set", "hours=2400 counted"]) == 0
    assert checkpoint.load(found.directory).use == HoursOfUse(2400, "counted")
    assert main(["amend", str(tmp_path), found.name]) == 0
    assert "hours = 2400 counted\n" in capsys.readouterr().out


@pytest.mark.parametrize("command", [["inspect"], ["look"], ["spot"], ["camera", "shoot"]])
def test_every_command_says_what_hours_are(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], command: list[str]
) -> None:
    (tmp_path / "panel.toml").write_text('name = "x"\npixels = [1280, 720]\nactive_area_mm = [598, 336]\n')

    assert main([*command, str(tmp_path), "--hours", "3600 estimated"]) == 2
    assert "--hours '3600 estimated': estimated hours are a range" in " ".join(capsys.readouterr().err.split())


def test_the_state_of_a_panel_tells_the_range(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "panel.toml").write_text('name = "x"\npixels = [1280, 720]\nactive_area_mm = [598, 336]\n')
    checkpoint.open_or_create(tmp_path, "x", between(2100, 2500), None, NOW)

    assert main(["status", str(tmp_path)]) == 0
    assert "2100 to 2500" in " ".join(capsys.readouterr().out.split())
