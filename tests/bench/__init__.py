"""The bench: how fast and how exact, as ratios within one run. ``python -m tests.bench``."""
