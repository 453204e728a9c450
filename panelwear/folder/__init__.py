"""The panel folder on the disk: panel.toml, probe.toml, checkpoints with their records, amendments, the lock.

Files are read and written here; what they mean for figures is not known here. Making a folder and checking files of
every kind is ``panelwear.upkeep``.
"""
