"""The boat document: what a boat's wiring is, as frozen values without any I/O.

SI units with the unit in the name; areas in mm² and temperatures in °C.
A field left out is not known: the engine then assumes a value and says so.
Order carries no meaning, except of studs on a bar and of ways in a panel.
"""
