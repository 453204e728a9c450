"""What stands under all other packages: the one reader of our TOML and JSON files, and time as an argument.

Only what more than one package uses and what knows nothing of panels, probes, patterns or sequences. It imports the
standard library alone, and nothing of ours.
"""
