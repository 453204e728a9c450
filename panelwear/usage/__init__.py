"""What a panel showed between its checkpoints, as a person tells it, and the dose of light that follows."""
