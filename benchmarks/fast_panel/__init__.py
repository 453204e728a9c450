"""Checkpoints of the simulated panel by the thousand: only the pixels round the probe, no screen, no link, no files.

For benchmarks and tests that ask how often an interval holds or a change is found. What a person runs reads the
simulated panel through the real engine (``panelwear.simulation.rehearsal``).
"""
