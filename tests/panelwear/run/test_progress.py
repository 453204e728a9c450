"""How long is left is told from what will really be done."""

from panelwear.run.progress import left_seconds
from sequences.model import PutProbe, WarmUp
from tests.panelwear.run.bench import CENTRE

STEPS = (PutProbe(1, 1, CENTRE), WarmUp(2, 20.0, 60.0, 90.0))


def test_a_warm_up_cut_short_is_counted_as_short() -> None:
    whole = left_seconds(STEPS, 0)

    assert whole - left_seconds(STEPS, 0, warm_up_minutes=2.0) == 18 * 60
    assert left_seconds(STEPS, 2, warm_up_minutes=2.0) == 0
