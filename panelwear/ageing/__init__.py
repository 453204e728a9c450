"""How light is lost: laws of ageing, how they are fitted and drawn on, what light costs. Pure functions of numbers."""
