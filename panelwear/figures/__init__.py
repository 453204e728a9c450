"""Figures of one checkpoint: from readings to estimates, by pure functions over a reading table.

``of_checkpoint`` works out every figure; ``spot_table`` and ``summary`` say them to a person.
"""

from panelwear.figures.checkpoint import Figures, of_checkpoint, of_checkpoints
from panelwear.figures.tables import spot_table, summary

__all__ = ["Figures", "of_checkpoint", "of_checkpoints", "spot_table", "summary"]
