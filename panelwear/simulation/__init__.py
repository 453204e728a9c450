"""A simulated panel and probe: light of the pixels a screen really holds, and rehearsals of the whole job.

The truth that was put in stands here too, to be set beside what figures and comparison say; no figure is worked out
here. Faster numeric short cuts and simulated people live beside the benchmarks.
"""
