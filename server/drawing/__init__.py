"""Pictures of a boat's wiring: layout in plain geometry, then SVG.

Lengths are CSS pixels at the nominal scale; y grows downwards.
Colours come from classes alone; conductors own red, black and yellow, severity never uses them.
"""
