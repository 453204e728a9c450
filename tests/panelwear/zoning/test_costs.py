"""What moving a zone costs the readings there are is said before anything is saved."""

from __future__ import annotations

from pathlib import Path

from panelwear.folder.checkpoint import survey
from panelwear.zoning.costs import Read, costs_of, read_zones
from panelwear.zoning.plan import plan_of
from tests.panelwear.zoning.hand import ZONES, Hand, with_readings

READ = Read({"badge": ("first", "second"), "chart": ("first",)})


def costs(hand: Hand, read: Read = READ) -> tuple[str, ...]:
    return costs_of(plan_of(ZONES), hand.state.plan, read)


def test_nothing_is_said_of_zones_that_were_not_read_or_are_as_they_were() -> None:
    assert costs(Hand(*ZONES)) == ()
    assert costs(Hand(*ZONES).key("tab", "tab", "delete")) == ()
    assert costs(Hand(*ZONES).key("n").drag((500, 300), (600, 400))) == ()
    assert costs(Hand(*ZONES).key("page-up")) == ()


def test_a_moved_a_renamed_and_a_deleted_zone_are_named_with_their_checkpoints() -> None:
    assert costs(Hand(*ZONES).key("tab", "right"))[0].startswith("badge was read at 2 checkpoints at its old place")
    assert "a new history begins" in costs(Hand(*ZONES).key("tab", "return").text("clock").key("return"))[0]
    assert "taken away" in costs(Hand(*ZONES).key("tab", "delete"))[0]
    assert "another reference" in costs(Hand(*ZONES).key("tab", "r"))[0]


def test_another_place_of_the_probe_counts_as_moved() -> None:
    assert "old place" in costs(Hand(*ZONES).key("tab", "0"))[0]


def test_checkpoints_that_cannot_be_read_are_named() -> None:
    read = Read({"badge": ("first",)}, ("third",))
    assert costs(Hand(*ZONES).key("tab", "right"), read)[-1] == "Not looked at, for they cannot be read: third."


def test_readings_of_zones_are_found_in_a_panel_folder(tmp_path: Path) -> None:
    with_readings(tmp_path, "list", "chart", "centre")
    found, lost = survey(tmp_path)
    read = read_zones(found, [one.name for one in lost], ["list", "badge", "chart"])
    assert read == Read({"list": (found[0].name,), "chart": (found[0].name,)})

    (found[0].directory / "readings.csv").write_text("row\n1,2\n")
    assert read_zones(found, ["lost"], ["chart"]) == Read({}, ("lost", found[0].name))
