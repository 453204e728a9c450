"""How far a number can be trusted (JCGM 100, 101, 106): statistics, propagation, intervals, decisions."""
