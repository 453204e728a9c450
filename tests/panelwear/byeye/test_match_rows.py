from __future__ import annotations

from dataclasses import fields, replace
from random import Random

import pytest

from panelwear.byeye.match_rows import from_adjustment, growth_sentence
from panelwear.byeye.matching import analyse
from panelwear.readings.matches import MatchResult


def match(
    contrast: float | None, u: float | None = 0.2, dof: int | None = 6, method: str = "adjustment"
) -> MatchResult:
    blank: dict[str, object] = {field.name: None for field in fields(MatchResult)}
    blank.update(match=1, session=1, time_utc="", zone="badge", rect_px="0 0 10 10", edge_px=8, hue="grey", code=128.0)
    blank.update(level_cd_m2=60.0, level_basis="assumed-response", trials=8, sham_trials=2, sham_found=0, note="")
    blank.update(contrast_percent=contrast, u_percent=u, dof=dof, method=method)
    return MatchResult(**blank)  # type: ignore[arg-type]


def test_a_change_has_the_t_interval_of_its_effective_degrees_of_freedom() -> None:
    # Equal u and 6 degrees of freedom each: Welch-Satterthwaite gives 12, t(12, 0.975) = 2.179 (JCGM 100 table G.2:
    # 2.18). 2.179 x 0.2 x sqrt(2) = 0.616.
    assert "no change larger than 1.22 %" in growth_sentence(match(-1.6), [match(-1.0)])
    assert "by -0.63 ± 0.62 % (95 %)" in growth_sentence(match(-1.63), [match(-1.0)])


def test_one_loose_side_counts_with_its_own_degrees_of_freedom() -> None:
    # The other side's u is negligible, so the degrees of freedom are 4: t(4, 0.975) = 2.776 (JCGM 100 table G.2).
    assert "by +0.60 ± 0.56 % (95 %)" in growth_sentence(match(1.6, 0.2, 4), [match(1.0, 0.0001, 50)])


@pytest.mark.parametrize("settings", [6, 8])
def test_equal_contrasts_are_called_changed_in_no_more_than_one_of_twenty(settings: int) -> None:
    random = Random(1)
    called = 0
    for _ in range(1500):
        rows = []
        for _ in range(2):
            made = tuple(random.gauss(0, 0.005) for _ in range(settings))
            rows.append(from_adjustment(match(0), analyse(made[: settings // 2], made[settings // 2 :])))
        called += "changed" in growth_sentence(rows[0], [rows[1]])
    # Binomial, 1,500 runs: 3 standard deviations are 1.7 %. Estimated degrees of freedom are never more than the true
    # 2 (n - 2), so the interval is a little wide: 5 % is the most, not the mean.
    assert 0.02 <= called / 1500 <= 0.067


def test_a_later_detection_row_hides_no_earlier_match() -> None:
    seen = match(None, None, None, method="detection")
    assert "last time -3.00 %" in growth_sentence(match(-1.2), [match(-3.0), seen])


def test_settings_all_alike_still_give_a_sentence() -> None:
    assert "no change larger than 0.00 %" in growth_sentence(match(1.0, 0.0), [match(1.0, 0.0)])
    assert growth_sentence(replace(match(1.0), hue="red"), [match(1.0)]) == ""
