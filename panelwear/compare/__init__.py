"""What changed between checkpoints, and how sure that is: pairing, change table, verdicts, trend, forecast, sentences.

Pure functions of evidence (``panelwear.figures``). What one checkpoint tells by itself is a figure and lives there.
"""
