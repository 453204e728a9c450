"""Drive levels that wanted luminances took."""

from dataclasses import replace

import numpy as np
import pytest

from panelwear.compare.all_figures import codes_needed
from tests.panelwear.compare.panels import pairing_of
from tests.panelwear.figures.handmade import Bench


def read(Y, black=0.2, target=0.5):
    bench = Bench()
    bench.put()
    bench.read("field/centre/grey/c0/full", "black", black)
    bench.read("near-black/centre/grey/Y0.5/w10", "near-black", Y, codes=(20.0, 20.0, 20.0))
    table = bench.table()
    wanted = table.purpose == "near-black"
    return replace(
        table,
        level_basis=np.where(wanted, "measured-response", "code"),
        target_cd_m2=np.where(wanted, target, np.nan),
    )


def test_the_same_readings_took_the_same_code():
    (found,) = codes_needed(pairing_of(read(0.515), read(0.515)))
    assert found.after - found.before == 0.0
    # L = 0.2 + k c^2.2 in cd/m²: 0.5 needs the code 20 (0.3 / 0.315)^(1 / 2.2).
    assert found.before == pytest.approx(20 * (0.3 / 0.315) ** (1 / 2.2), abs=0.02)
