"""What several benchmarks and tests share: a simulated observer, and how even a rank tile is."""
