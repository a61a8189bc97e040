"""Measurements of speed, run by hand: `python -m tests.benchmarks.figures`."""
