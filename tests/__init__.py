"""The tests; they mirror ``server/``."""
