"""When wear will matter, for this panel's use and for another's: questions asked of a comparison, and their answers."""
