"""Zones drawn on the panel itself: an editor without effects, what it says, and the loop that shows it."""
