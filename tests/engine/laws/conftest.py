"""Laws run the same 100 examples each time; TAPCHART_EXAMPLES asks for more."""

import os

from hypothesis import settings

settings.register_profile(
    "laws", deadline=None, derandomize=True, max_examples=int(os.environ.get("TAPCHART_EXAMPLES", "100"))
)
settings.load_profile("laws")
