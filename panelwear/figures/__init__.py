"""Figures of one checkpoint: ``load`` puts its evidence together, ``each`` holds one module a figure.

Everything that is worked out from one checkpoint alone lives here, zone contrasts included. No file is touched but by
``load``; what two checkpoints say together belongs to ``compare``.
"""

from panelwear.figures.checkpoint import Figures, figures_of, of_checkpoint
from panelwear.figures.tables import spot_table, summary

__all__ = ["Figures", "figures_of", "of_checkpoint", "spot_table", "summary"]
