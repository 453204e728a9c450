"""One file a figure. Each has ``ORDER`` and ``figures(session)``; ``panelwear.figures.registry`` finds them."""
