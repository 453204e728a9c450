"""Maps as pictures: one gain for all, printed in the picture; nothing is stretched to fit."""
