"""The engine: a boat's wiring as a circuit, and what follows from it.

Conventions, stated once for the whole package:

* SI without prefixes. Temperatures alone are in degrees Celsius, and only in ``netlist``.
* An element runs tail → head; its voltage is ``v[tail] - v[head]``; its current is positive that way.
* A source's tail is its negative terminal and its head its positive one, so that a battery's current is
  positive when it discharges. A load's tail is its positive terminal.
* Elements are numbered across kinds in the order of ``Network.KINDS``; labels live beside the arrays.
* Node potentials are relative to a reference chosen per island and mean nothing alone: only differences
  between two terminals are shown to people. A node that no source reaches has the potential ``nan``.
"""

import os

# Many small right-hand sides: BLAS threads cost thirty times what they bring, and numpy reads this once.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
