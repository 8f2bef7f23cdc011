"""Events in time: a heavy load pressed, running up, running and released, solved piece by piece exactly.

Signs and units are the engine's: SI without prefixes; a branch runs tail to head, its current is positive
that way.
Time is zero at the first press.
"""
