"""The routes: one module for each noun in the address, each with a ``router``."""
