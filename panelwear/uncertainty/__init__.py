"""How far a number can be trusted (JCGM 100, 101, 106): statistics, propagation, intervals, decisions.

Pure functions of numbers, with the clause of the source they follow, and how an estimate is written down. What a figure
or a panel is, is not known here.
"""
