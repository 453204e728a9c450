"""What maps of two checkpoints say: pairs, contrasts of zones, verdicts, regions nobody named."""
