"""Scripts that print tables of speed and statistics, and what only they and the tests need: no part of the program."""
