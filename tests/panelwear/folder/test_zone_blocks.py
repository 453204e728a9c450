"""Zones written into panel.toml: what a person wrote there stays, to the byte."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelwear.errors import FileFault, StorageFault
from panelwear.folder.panel import parse_panel
from panelwear.folder.zone_blocks import cut_at_zones, rewritten
from panelwear.folder.zone_file import matched, read_zone_file, with_zones, write_beside, write_zones
from patterns.frame import Rect
from sequences.model import Zone

TEXT = '''\
# mine
name = "desk"   # the left one
pixels = [1280, 720]
active_area_mm = [600, 340]
notes = """
[[zones]]
name = "no zone, a note"
"""

# the big one
[[zones]] # chart
name = "chart"   # main
rect_px = [ 0, 0, 640, 720 ]  # left half
# what the chart shows was changed in spring

# stands by itself

[response]
kind = "srgb"

# dark at all hours
[[zones]]
  rect_px = [700, 10, 100, 50]
  probe_at_px = [720, 20] # corner
  reference = "chart"
  name = "badge"
'''
NEW = Zone("new", Rect(5, 6, 70, 80), (40.0, 46.0), "chart")


def zones_in(text: str) -> tuple[Zone, ...]:
    return parse_panel(tomllib.loads(text), Path()).zones


CHART, BADGE = zones_in(TEXT)


def test_nothing_changes_where_nothing_is_wanted() -> None:
    assert rewritten(TEXT, (CHART, BADGE), [(0, CHART), (1, BADGE)]) == TEXT


def test_a_moved_zone_changes_its_rectangle_alone() -> None:
    moved = replace(CHART, rect=Rect(8, 0, 640, 720), probe_at_px=(328.0, 360.0))
    text = rewritten(TEXT, (CHART, BADGE), [(0, moved), (1, BADGE)])
    assert text == TEXT.replace("[ 0, 0, 640, 720 ]", "[8, 0, 640, 720]")


def test_a_place_of_the_probe_that_is_stated_goes_along_and_a_name_and_reference_change_in_place() -> None:
    changed = Zone("clock", Rect(700, 10, 100, 60), (720.0, 24.5))
    text = rewritten(TEXT, (CHART, BADGE), [(0, CHART), (1, changed)])
    wanted = TEXT.replace("100, 50]", "100, 60]").replace("[720, 20] #", "[720, 24.5] #").replace('"badge"', '"clock"')
    assert text == wanted.replace('  reference = "chart"\n', "")


def test_a_new_zone_is_a_block_at_the_end() -> None:
    text = rewritten(TEXT, (CHART, BADGE), [(0, CHART), (1, BADGE), (None, NEW)])
    assert text == TEXT + '\n[[zones]]\nname = "new"\nrect_px = [5, 6, 70, 80]\nreference = "chart"\n'


def test_another_order_takes_a_zones_own_comments_along_and_nothing_else() -> None:
    text = rewritten(TEXT, (CHART, BADGE), [(1, replace(BADGE, reference="")), (0, CHART)])
    assert [zone.name for zone in zones_in(text)] == ["badge", "chart"]
    assert text.index("# dark at all hours") < text.index('"badge"') < text.index("# stands by itself")
    assert text.index("# stands by itself") < text.index("[response]") < text.index("# the big one")
    assert text.index("# the big one") < text.index("# what the chart shows")


def test_a_zone_taken_away_takes_only_its_own_block() -> None:
    text = rewritten(TEXT, (CHART, BADGE), [(1, replace(BADGE, reference=""))])
    assert [zone.name for zone in zones_in(text)] == ["badge"]
    assert "# mine" in text and "# stands by itself" in text and "[response]" in text and "no zone, a note" in text
    assert "# the big one" not in text
    assert zones_in(rewritten(TEXT, (CHART, BADGE), [])) == ()


def test_line_ends_stay_as_they_are() -> None:
    text = rewritten(TEXT.replace("\n", "\r\n"), (CHART, BADGE), [(0, CHART), (1, BADGE), (None, NEW)])
    assert text.count("\n") == text.count("\r\n")
    assert zones_in(text) == (CHART, BADGE, NEW)


ARRAY = """name = "desk"
pixels = [100, 100]
active_area_mm = [10, 10]
zones = [ # all
  {name = "a", rect_px = [0, 0, 10, 10]}, # first
  {name = "b", rect_px = [0, 0, 20, 10], reference = "a"},
]
"""


def test_zones_in_one_list_are_changed_too() -> None:
    a, b = zones_in(ARRAY)
    moved = replace(a, rect=Rect(1, 1, 8, 8), probe_at_px=(5.0, 5.0))
    assert rewritten(ARRAY, (a, b), [(0, moved), (1, b)]) == ARRAY.replace("[0, 0, 10, 10]", "[1, 1, 8, 8]")
    text = rewritten(ARRAY, (a, b), [(0, a), (1, b), (None, replace(NEW, reference="b"))])
    assert zones_in(text)[:2] == (a, b) and "# all" in text and "# first" in text
    with pytest.raises(ValueError, match="without losing them"):
        rewritten(ARRAY, (a, b), [(1, b), (0, a)])


@pytest.mark.parametrize("line", ["zones = []\n", ""])
def test_the_first_zone_of_a_panel(line: str) -> None:
    text = f'name = "desk"\npixels = [100, 100]\nactive_area_mm = [10, 10]\n{line}[response]\nkind = "srgb"'
    first = replace(NEW, reference="")
    assert zones_in(rewritten(text, (), [(None, first)])) == (first,)


sizes = st.tuples(st.integers(0, 600), st.integers(0, 300), st.integers(1, 200), st.integers(1, 200))


@st.composite
def plans(draw: st.DrawFn) -> list[tuple[int | None, Zone]]:
    """Any order of some of the file's zones and some new ones, with references among them."""
    origins = draw(st.permutations([*draw(st.sets(st.sampled_from([0, 1, 2]))), *[None] * draw(st.integers(0, 2))]))
    names = [f"zone-{n}" for n in range(len(origins))]
    wanted: list[tuple[int | None, Zone]] = []
    for n, origin in enumerate(origins):
        rect = Rect(*draw(sizes))
        at = draw(st.sampled_from([rect.centre, (float(rect.x), rect.y + 0.5)]))
        reference = draw(st.sampled_from(["", *(name for name in names if name != names[n])]))
        wanted.append((origin, Zone(names[n], rect, at, reference)))
    return wanted


THREE = TEXT + '\n[["zones"]]\n"name" = \'third\'\nrect_px = [\n  1, 2, # from\n  3, 4,\n]\n'


@settings(max_examples=80, deadline=None)
@given(plans(), st.sampled_from(["\n", "\r\n"]))
def test_any_plan_reads_back_and_all_else_stays(wanted: list[tuple[int | None, Zone]], line_end: str) -> None:
    there = zones_in(THREE)
    text = rewritten(THREE.replace("\n", line_end), there, wanted)
    before, after = tomllib.loads(THREE), tomllib.loads(text)
    assert zones_in(text) == tuple(zone for _, zone in wanted)
    assert {**after, "zones": 0} == {**before, "zones": 0}
    assert "# stands by itself" in text and "# mine" in text and "# the left one" in text
    kept = {origin for origin, _ in wanted}
    assert ("# the big one" in text) == (0 in kept) and ("# dark at all hours" in text) == (1 in kept)


def test_a_cut_loses_nothing() -> None:
    cut = cut_at_zones(THREE)
    assert cut.before + "".join(b + g for b, g in zip(cut.blocks, cut.gaps, strict=True)) == THREE
    assert len(cut.blocks) == 3


def folder(tmp_path: Path, text: str = TEXT) -> Path:
    (tmp_path / "panel.toml").write_bytes(text.encode())
    return tmp_path


def test_a_file_is_put_in_place_whole_and_read_again(tmp_path: Path) -> None:
    file = read_zone_file(folder(tmp_path, "\ufeff" + TEXT))
    after = write_zones(file, [(0, CHART), (None, NEW), (1, BADGE)])
    assert after.zones == read_zone_file(tmp_path).zones == (CHART, NEW, BADGE)
    assert (tmp_path / "panel.toml").read_bytes().startswith(b"\xef\xbb\xbf# mine")
    assert [path.name for path in tmp_path.iterdir()] == ["panel.toml"]


@pytest.mark.parametrize(
    "zone",
    [
        replace(NEW, name="two words"),
        replace(NEW, rect=Rect(1200, 0, 100, 100)),
        replace(NEW, reference="nobody"),
        replace(NEW, name="chart"),
    ],
)
def test_zones_our_own_reader_would_refuse_are_not_written(tmp_path: Path, zone: Zone) -> None:
    file = read_zone_file(folder(tmp_path))
    with pytest.raises(FileFault):
        write_zones(file, [(0, CHART), (1, BADGE), (None, zone)])
    assert (tmp_path / "panel.toml").read_text() == TEXT


def test_a_file_that_reads_as_something_else_afterwards_is_not_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = read_zone_file(folder(tmp_path))
    monkeypatch.setattr("panelwear.folder.zone_file.rewritten", lambda text, *_: text.replace("1280", "1281"))
    with pytest.raises(FileFault, match="without touching the rest"):
        with_zones(file, [(0, CHART), (1, BADGE)])


def test_what_is_written_beside_takes_a_name_that_is_free(tmp_path: Path) -> None:
    file = read_zone_file(folder(tmp_path))
    assert [write_beside(file, b"x", "before").name for _ in range(2)] == ["panel.before-1.toml", "panel.before-2.toml"]


def test_a_file_that_is_not_there_is_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(StorageFault, match="cannot be read"):
        read_zone_file(tmp_path)


def test_zones_find_their_blocks_by_name() -> None:
    assert matched((NEW, BADGE), (CHART, BADGE)) == [(None, NEW), (1, BADGE)]
