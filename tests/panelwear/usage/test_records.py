"""``usage.toml``, whoever wrote it: read whole, appended to, all faults at once."""

from __future__ import annotations

from pathlib import Path

import pytest

from groundwork.documents import parse_toml
from panelwear.errors import FileFault, PanelwearError
from panelwear.upkeep.check import check
from panelwear.usage.amounts import Amount, amount_reader
from panelwear.usage.files import append_stretches, load_usage
from panelwear.usage.records import Content, Stretch, Usage, misfits, parse_usage
from panelwear.usage.typed import READERS, content_of, zone_content

PANEL = """name = "desk"
pixels = [1280, 720]
active_area_mm = [598, 336]
[[zones]]
name = "chart"
rect_px = [0, 0, 1280, 720]
"""
WHOLE = Stretch(
    "always", "2026-09-01", Amount(7, 9), Amount(5, 5), Amount(120, 120),
    content=(Content("chart", Amount(0.8, 0.9), "white"), Content("", Amount(0.5, 0.5), codes=(96, 112.5, 132)),
             Content("", Amount(0.25, 0.25), light=(0.5, 0.6, 1))),
    note='"quoted" = [x]\n\\ #',
)  # fmt: skip


def test_what_is_appended_reads_back_as_it_is_and_leaves_the_rest(tmp_path: Path) -> None:
    own = '# mine\n[[stretches]]\nsince = "2026-01-01"   # by hand\nhours_a_day = 8'
    (tmp_path / "usage.toml").write_text(own)

    append_stretches(tmp_path, [WHOLE])

    assert (tmp_path / "usage.toml").read_text().startswith(own + "\n")
    assert load_usage(tmp_path).stretches == (Stretch("2026-01-01", hours_a_day=Amount(8, 8)), WHOLE)


def test_nothing_is_appended_to_a_file_with_faults(tmp_path: Path) -> None:
    (tmp_path / "usage.toml").write_text("[[stretches]]\nsince = 3\n")
    with pytest.raises(FileFault, match="since"):
        append_stretches(tmp_path, [WHOLE])
    assert (tmp_path / "usage.toml").read_text() == "[[stretches]]\nsince = 3\n"


def test_every_fault_is_told_at_once() -> None:
    text = """
[[stretches]]
since = "2026-02-03"
until = "2026-02-01"
hours_a_day = 25
days_a_week = [5, 3]
white_cd_m2 = nan
peak_share = "much"
brightness = 3
[[stretches.content]]
shows = "whitish"
share = 1.5
[[stretches.content]]
codes = [1, 2]
light = [0.1, 0.2, 0.3]
[[stretches]]
map = "../../secret.npz"
since = ""
white_cd_m2 = 100
peak_share = 0.5
[[stretches.content]]
shows = "mid"
share = 0.7
[[stretches.content]]
shows = "dark"
share = 0.7
"""
    with pytest.raises(FileFault) as caught:
        parse_usage(parse_toml(text.encode(), "usage.toml", FileFault))
    said = "\n".join(caught.value.problems)
    for part in (
        "stretches[1].brightness: unknown key",
        "stretches[1].hours_a_day: 25 is out of range; allowed: 0 to 24 h",
        "stretches[1].days_a_week: [5, 3]: the smaller number comes first",
        "stretches[1].white_cd_m2: nan is out of range",
        "stretches[1].peak_share: expected a number",
        "stretches[1].until: 2026-02-01 is not later than 2026-02-03",
        "stretches[1].content[1].shows: 'whitish' is not known; did you mean 'white'?",
        "stretches[1].content[1].share: 1.5 is out of range",
        "stretches[1].content[2].codes: expected a list of 3",
        "stretches[2].map: '../../secret.npz' is no file name",
        "stretches[2].since: is empty",
        "stretches[2].peak_share: stands beside white_cd_m2",
        "stretches[2].content: shares of time of the whole panel make 1.4, more than 1",
    ):
        assert part in said


@pytest.mark.parametrize(
    "text",
    [
        "stretches = 3",
        "stretches = [3]",
        "stretches = [[]]",
        "[stretches]\nsince = 'always'",
        "[[stretches]]\nsince = true",
        "[[stretches]]\nsince = 'x'\nhours_a_day = []",
        "[[stretches]]\nsince = 'x'\nhours_a_day = [1, 2, 3]",
        "[[stretches]]\nsince = 'x'\nhours_a_day = [true, 2]",
        "[[stretches]]\nsince = 'x'\nhours_a_day = inf",
        "[[stretches]]\nsince = 'x'\nhours_a_day = -1",
        "[[stretches]]\nsince = 'x'\nwhite_cd_m2 = 0",
        "[[stretches]]\nsince = 'x'\npictures = 99999999999999999999",
        "[[stretches]]\nsince = 'x'\ncontent = 'white'",
        "[[stretches]]\nsince = 'x'\n[[stretches.content]]\nzone = 1",
        "[[stretches]]\nsince = 'x'\n[[stretches.content]]\nlight = [nan, 0, 0]",
        "[[stretches]]\nsince = 'x'\nmap = '..\\\\x.npz'",
        "[[stretches]\n",
        "\x00",
    ],
)
def test_a_hostile_file_has_faults_and_no_other_end(tmp_path: Path, text: str) -> None:
    (tmp_path / "panel.toml").write_text(PANEL)
    (tmp_path / "usage.toml").write_text(text)
    with pytest.raises(PanelwearError):
        load_usage(tmp_path)
    assert any("usage.toml" in problem for problem in check(tmp_path).problems)


def test_names_of_nothing_on_this_panel_are_told() -> None:
    usage = Usage((Stretch("2026-02-03-h1460", "soon", content=(Content("chrt", shows="mid"),)),))
    said = misfits(usage, ["chart"], {"2026-02-03-h1640": "2026-02-03"})
    assert [one.partition(": ")[2].partition(":")[0] for one in said] == [
        "stretches[1].since", "stretches[1].until", "stretches[1].content[1].zone"
    ]  # fmt: skip
    assert "did you mean '2026-02-03-h1640'?" in said[0]
    assert "did you mean 'chart'?" in said[2]


CHECKPOINTS = {"a": "2026-02-03", "b": "2026-05-01", "also-b": "2026-05-01", "lost": ""}


@pytest.mark.parametrize(
    ("since", "until", "said"),
    [
        ("b", "a", "until: a (2026-02-03) is not later than b (2026-05-01), on which it begins, so it holds on no day"),
        ("b", "also-b", "until: also-b (2026-05-01) is not later than b (2026-05-01)"),
        ("b", "2026-04-30", "until: 2026-04-30 is not later than b (2026-05-01)"),
        ("2026-02-03", "a", "until: a (2026-02-03) is not later than 2026-02-03, on which"),
        ("lost", "b", "since: on which day lost was begun is not known"),
        ("a", "lost", "until: on which day lost was begun is not known"),
        ("a", "b", ""), ("a", "2026-02-04", ""), ("always", "a", ""), ("b", "", ""),
    ],
)  # fmt: skip
def test_what_holds_on_no_day_is_told(since: str, until: str, said: str) -> None:
    found = misfits(Usage((Stretch(since, until),)), [], CHECKPOINTS)
    assert len(found) == bool(said)
    assert said in "".join(found)


def test_check_knows_the_file(tmp_path: Path) -> None:
    (tmp_path / "panel.toml").write_text(PANEL)
    append_stretches(tmp_path, [Stretch("always", content=(Content("chrt", shows="mid"),))])
    assert check(tmp_path / "usage.toml").what == "usage file"
    assert "'chrt' is no zone of panel.toml" in check(tmp_path).problems[0]


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("8", Amount(8, 8)), ("7-9 h", Amount(7, 9)), ("7 to 9", Amount(7, 9)), ("7,5", Amount(7.5, 7.5)),
    ],
)  # fmt: skip
def test_amounts_are_typed_as_hours_are(text: str, found: Amount) -> None:
    assert amount_reader(0, 24, "h")(text) == found


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("100-120 cd/m²", Amount(100, 120)), ("100 cd/m2", Amount(100, 100)), ("1e-3", Amount(0.001, 0.001)),
        ("120 ± 20", Amount(100, 140)), ("1,250", Amount(1250, 1250)), ("1.2500", Amount(1.25, 1.25)),
        ("7 ± 9", "'7 ± 9': goes below 0; write the range itself, such as 0-16"),
        ("1.250", "'1.250' can be 1250 or 1.25; write the one that is meant"),
        ("40 %", "'40 %' is not a number or a range such as 7-9, in cd/m²"),
        ("120 h", "'120 h' is not a number"),
        ("-3", "-3 is out of range; allowed: above 0 to 10000 cd/m²"),
        ("nan", "nan is out of range"),
    ],
)  # fmt: skip
def test_a_brightness_is_typed_in_its_own_unit(text: str, found: Amount | str) -> None:
    if isinstance(found, Amount):
        assert READERS["white_cd_m2"](text) == found
        return
    with pytest.raises(ValueError, match=r"\S") as caught:
        READERS["white_cd_m2"](text)
    assert found in str(caught.value)


def test_limits_tell_what_a_comma_or_a_full_stop_is() -> None:
    for text in ("7.125", "7,125"):  # 7125 h a day cannot be meant
        assert READERS["hours_a_day"](text) == Amount(7.125, 7.125)
    for text in ("12.500 %", "0,125", "12,5 %"):
        assert READERS["peak_share"](text) == Amount(0.125, 0.125)
    assert READERS["peak_share"]("40%-60%") == Amount(0.4, 0.6)
    for key, text in (("hours_a_day", "40 %"), ("days_a_week", "5 h"), ("days_a_week", "50 %")):
        with pytest.raises(ValueError, match="is not a number"):
            READERS[key](text)


def test_what_a_zone_shows_is_typed_in_words() -> None:
    assert content_of("white 90 %, dark:0.1") == (
        Content("", Amount(0.9, 0.9), "white"), Content("", Amount(0.1, 0.1), "dark")
    )  # fmt: skip
    assert zone_content("chart=96/112.5/132 40-50%", ["chart"]) == (
        Content("chart", Amount(0.4, 0.5), codes=(96, 112.5, 132)),
    )
    for text, said in (
        ("whit", "did you mean 'white'?"), ("white 90 %, dark 20 %", "the shares make 110 %"), ("mid x", "'x' is"),
        ("300/0/0", "drive levels go from 0 to 255"), ("white 120 %", "out of range"), ("", "write such as"),
    ):  # fmt: skip
        with pytest.raises(ValueError, match=r"\S") as caught:
            content_of(text)
        assert said in str(caught.value)
    assert content_of("96 / 112/ 132 40 %") == (Content("", Amount(0.4, 0.4), codes=(96, 112, 132)),)
    with pytest.raises(ValueError, match="'chrt' is no zone"):
        zone_content("chrt=white", ["chart"])
