"""One file a command: its options, what it calls, and what it prints.

Nothing is worked out here: figures, comparison, run and report have their own folders. Nothing heavy is imported at
the top of a command, so that ``--help`` stays quick.
"""
