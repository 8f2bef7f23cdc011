"""One numbered step for each change of the tables."""
