"""The report: one self-contained HTML file of all checkpoints of a panel.

``content`` says what stands in it, ``sections`` fill that from figures and comparison, ``pictures`` draw, ``page`` lays
it out, ``build`` does all of it for a panel folder.
"""
