"""One file a figure. Each has ``ORDER`` and ``figures(evidence)``; ``panelwear.figures.registry`` finds them.

A figure picks means of the evidence and gives estimates. It reads no file and knows no other checkpoint.
"""
