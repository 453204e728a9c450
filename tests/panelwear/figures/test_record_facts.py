"""What panel and record tell besides the readings: offsets, filled apertures, correction matrices."""

import math
from dataclasses import replace

import numpy as np
import pytest

from benchmarks.fast_panel.readings import patches_of
from panelwear.colorimetry.correction import Correction
from panelwear.compare.differences import compare_circumstances
from panelwear.figures import of_checkpoint
from panelwear.figures.circumstances import Circumstances
from panelwear.figures.fillings import Filling, fillings_of
from panelwear.figures.record_facts import RecordFacts, applied_notes, matrix_notes, offsets_of, with_matrix
from panelwear.panel.aperture import filled_fraction
from panelwear.simulation.usage import ACTIVE_AREA_MM, harbour_desk_zones
from panelwear.uncertainty.meter import MeterTerms
from sequences.expand import expand
from sequences.model import PanelFacts
from sequences.reader import load
from tests.panelwear.figures.handmade import Bench

NOTHING = MeterTerms(session_scale=0, session_xy=0, session_filters=0, placement=0, dark_noise_cd_m2=0)
FOUND = {"place": "centre", "offset_mm": [3.0, -4.0], "u_centre_mm": [0.01, 0.02]}
WIDTH, HEIGHT = 2560, 1440


def one_white() -> Bench:
    bench = Bench()
    bench.put()
    bench.read("white/centre/grey/c255/w10", "white", 300.0)
    return bench


def test_the_offset_of_the_probe_enters_the_uncertainty_beside_the_placement():
    sessions = [{"number": 1, "placements": {"1": FOUND}}]
    offsets = offsets_of(sessions)
    found = of_checkpoint(one_white().table(), replace(NOTHING, placement=0.001), record=RecordFacts(offsets))
    parts = {part.name: part for part in found["white.Y"].components}
    # 5 mm at an assumed 0.02 % a millimetre, over the root of two for the unknown direction.
    assert parts["placement offset"].u == pytest.approx(300 * 0.0002 * 5 / math.sqrt(2), rel=1e-3)
    assert parts["placement offset"].note == "5.0 mm from last time at 0.020 % a millimetre (assumed)"
    assert parts["placement"].u == pytest.approx(0.3, rel=1e-6)
    assert found["white.x"].u < 1e-9


def test_the_offset_cancels_in_a_ratio_inside_its_visit_and_belongs_to_its_own_visit_and_session():
    bench = one_white()
    bench.read("field/centre/grey/c255/full", "loading", 200.0)
    record = RecordFacts(offsets_of([{"number": 1, "placements": {"1": FOUND}}]))
    assert of_checkpoint(bench.table(), NOTHING, record=record)["loading/w10"].u < 1e-6
    other = RecordFacts(
        offsets_of([{"number": 2, "placements": {"1": FOUND}}, {"number": 1, "placements": {"2": FOUND}}])
    )
    assert of_checkpoint(bench.table(), NOTHING, record=other)["white.Y"].components == ()


@pytest.mark.parametrize("offset", [None, [], ["a", 1.0]])
def test_a_first_placement_has_no_offset(offset):
    assert offsets_of([{"number": 1, "placements": {"1": {**FOUND, "offset_mm": offset}}}, {"number": 2}]) == {}


def test_another_matrix_than_at_the_time_is_said_and_the_same_is_not():
    sessions = [{"number": n, "digests": d} for n, d in enumerate(
        [{"correction": "a" * 64}, {"correction": "b" * 64}, {}], start=1)]  # fmt: skip
    said = matrix_notes([*sessions, {"number": 4}], "a" * 64)
    assert len(said) == 2
    assert "Session 2 was read with correction matrix bbbbbbbb…" in said[0]
    assert "probe.toml now names correction matrix aaaaaaaa…" in said[0]
    assert "Session 3 was read with no correction matrix" in said[1]
    found = of_checkpoint(one_white().table(), NOTHING, record=RecordFacts(notes=said))
    assert found.notes[-2:] == said


def narrow_zone(aperture_mm: float):
    """Rows the sequence 'zones' would make of the scenario's route line, lit evenly, and what they fill."""
    panel = PanelFacts(
        WIDTH, HEIGHT, ACTIVE_AREA_MM, zones=harbour_desk_zones(WIDTH, HEIGHT), aperture_mm=aperture_mm
    )  # fmt: skip

    class Codes:
        def resolve(self, patch):
            from panelwear.panel.resolve import Resolved

            return Resolved((patch.level.value,) * 3, None, "code")

    patches = patches_of(expand(load("zones"), panel, seed=1), WIDTH, HEIGHT, Codes())
    return panel, [p for p in patches if p.pair.startswith("route-line.") and "/grey/c128/" in p.key]


def read_narrow(aperture_mm: float, contrast: float, aside_mm: float = 0.0) -> tuple[Bench, PanelFacts]:
    """Read an evenly lit screen whose route line gives ``1 + contrast`` of the light, by a uniform disc."""
    from panelwear.panel.aperture import filled_by_rect

    panel, patches = narrow_zone(aperture_mm)
    assert len(patches) == 4
    pitch = (ACTIVE_AREA_MM[0] / WIDTH, ACTIVE_AREA_MM[1] / HEIGHT)
    bench = Bench()
    for patch in patches:
        if patch.visit != bench.visit:
            bench.put()
            bench.visit = patch.visit
        rect = patch.frame.rect
        mm = (rect.x * pitch[0], rect.y * pitch[1], rect.w * pitch[0], rect.h * pitch[1])
        at = (patch.at_px[0] * pitch[0], patch.at_px[1] * pitch[1] + aside_mm)
        worn = 1 + contrast if patch.key.endswith("/strip") else 1.0
        before = len(bench.rows)
        bench.read(patch.key, "zone", 50.0 * worn * filled_by_rect(mm, at, aperture_mm), pair=patch.pair)
        bench.rows[before:] = [
            replace(r, pattern=patch.frame.pattern, rect_px=f"{rect.x} {rect.y} {rect.w} {rect.h}")
            for r in bench.rows[before:]
        ]
    return bench, panel


def test_a_line_read_through_three_strips_in_one_placement_gives_its_own_contrast():
    bench, panel = read_narrow(27.0, contrast=-0.03)
    assert {r.visit for r in bench.rows} == {bench.rows[0].visit}
    record = RecordFacts(fillings=fillings_of(bench.rows, panel))
    filling = record.fillings["route-line"]
    assert filling.in_place
    assert filling.own > filling.other
    found = of_checkpoint(bench.table(), NOTHING, record=record)["zone/route-line/grey/c128.contrast"]
    # C = 2 Z / (R1 + R2) - 1 with the aperture's weights taken out.
    assert found.value == pytest.approx(-3.0, abs=1e-6)
    assert found.note.startswith(f"strips of {filling.strip_mm:.1f} mm fill {100 * filling.own:.0f} % of the aperture")
    assert [part.name for part in found.components] == ["aperture", "placement"]


def test_a_probe_beside_the_line_moves_the_contrast_by_less_than_its_uncertainty_says():
    bench, panel = read_narrow(27.0, contrast=-0.03, aside_mm=0.3)
    record = RecordFacts(fillings=fillings_of(bench.rows, panel))
    found = of_checkpoint(bench.table(), NOTHING, record=record)["zone/route-line/grey/c128.contrast"]
    assert 0 < abs(found.value + 3.0) < 2 * found.u
    # Mostly the uncertainty of the aperture's diameter: the outer strips lie near its rim. Over time that cancels.
    assert found.u < 3.5


def test_a_line_as_wide_as_the_aperture_is_read_through_the_same_strip_on_its_reference():
    bench, panel = read_narrow(10.0, contrast=0.02)
    # The strip on the reference is no 'strip', so it is not worn.
    record = RecordFacts(fillings=fillings_of(bench.rows, panel))
    filling = record.fillings["route-line"]
    assert not filling.in_place
    assert filling.own == pytest.approx(filled_fraction(10.0, filling.strip_mm), abs=0.01)
    found = of_checkpoint(bench.table(), NOTHING, record=record)["zone/route-line/grey/c128.contrast"]
    assert found.value == pytest.approx(2.0, abs=0.05)
    assert "fills" in found.note
    assert "on its reference" in found.note


def test_without_the_aperture_strips_say_that_its_weighting_is_in_them():
    bench, panel = read_narrow(27.0, contrast=-0.03)
    assert fillings_of(bench.rows, replace(panel, aperture_mm=None)) == {}
    found = of_checkpoint(bench.table(), NOTHING)["zone/route-line/grey/c128.contrast"]
    assert "compare with the baseline's only" in found.note


def test_a_field_on_a_zone_narrower_than_the_aperture_is_divided_by_what_it_fills():
    # A strip of 5 mm in an aperture of 10 mm: (2/π)(asin k + k √(1 - k²)), k = 1/2 (area of a circular segment).
    share = filled_fraction(10.0, 5.0)
    assert share == pytest.approx(0.609, abs=5e-4)
    bench = Bench(3, noise=0.001)
    for place, Y, pair in (("line", 50 * (1 + 0.02 * share), 1), ("chart", 50.0, 2), ("chart", 50.0, 3),
                           ("line", 50 * (1 + 0.02 * share), 4)):  # fmt: skip
        bench.put()
        bench.read(f"zone/{place}/grey/c128/full", "zone", Y, pair=f"line.{pair}")
    plain = of_checkpoint(bench.table(), NOTHING)["zone/line/grey/c128.contrast"]
    record = RecordFacts(fillings={"line": Filling(share, 1.0, 0.0, False)})
    whole = of_checkpoint(bench.table(), NOTHING, record=record)["zone/line/grey/c128.contrast"]
    assert whole.value == pytest.approx(plain.value / share)
    assert whole.u == pytest.approx(plain.u / share, rel=1e-3)
    assert "61 %" in whole.note


def test_a_zone_wider_than_the_aperture_needs_nothing():
    panel = PanelFacts(
        WIDTH, HEIGHT, ACTIVE_AREA_MM, zones=harbour_desk_zones(WIDTH, HEIGHT), aperture_mm=10.0
    )  # fmt: skip
    bench = Bench()
    for place, pair in (("vessel-list", 1), ("chart", 2), ("chart", 3), ("vessel-list", 4)):
        bench.put()
        bench.read(f"zone/{place}/grey/c128/full", "zone", 50.0, pair=f"vessel-list.{pair}")
    assert fillings_of(bench.rows, panel) == {}


def test_drift_of_colour_is_taken_out_of_x_and_z():
    def warming(bench: Bench, blue: float) -> None:
        bench.put()
        for number in range(24):
            for group in ("reference/centre/grey/c128/w10", f"ramp/centre/grey/c{100 + number}/w10"):
                bench.read(group, group.partition("/")[0], 50.0, pause_s=20.0)
        start, end = bench.rows[0].monotonic_s, bench.rows[-1].monotonic_s
        bench.rows = [
            replace(r, Z_cd_m2=(r.Z_cd_m2 or 0) * (1 + blue * (r.monotonic_s - start) / (end - start)))
            for r in bench.rows
        ]

    still, moving = Bench(5, noise=0.0003), Bench(5, noise=0.0003)
    warming(still, 0.0)
    warming(moving, -0.02)
    for bench, tolerance in ((still, 2e-4), (moving, 2e-4)):
        found = of_checkpoint(bench.table(), NOTHING)
        ends = [found[f"white/c{100 + n}/w10.v_prime"] for n in (0, 22)]
        # Without the correction v' would move by 0.002 between the two.
        assert abs(ends[1].value - ends[0].value) < tolerance
        assert any(part.name == "drift" for part in ends[0].components)
    assert np.isfinite(of_checkpoint(moving.table(), NOTHING).evidence.drift_factor.of_showings).all()


def test_the_matrix_in_use_is_told_with_file_date_and_reference_and_that_it_is_for_another_panel():
    matrix = Correction(np.eye(3), "four-colour", "harbour-desk", "2026-02-03", "borrowed")
    mine = with_matrix(Circumstances(), matrix, "correction.toml", "harbour-desk")
    assert applied_notes(mine) == ("Corrected with correction.toml, made 2026-02-03 beside borrowed.",)
    other = with_matrix(Circumstances(), matrix, "correction.toml", "pilot-desk")
    assert "another panel, harbour-desk" in applied_notes(other)[1]
    for how, said in ((mine, "corrected with correction.toml"), (other, "made on another panel, harbour-desk")):
        assert any(said in d.what for d in compare_circumstances(how, how).differences)
    assert applied_notes(Circumstances()) == ()
