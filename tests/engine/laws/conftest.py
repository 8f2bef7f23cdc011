"""Laws run the same 100 examples each time; TAPCHART_EXAMPLES asks for more."""

import os

from hypothesis import HealthCheck, settings

settings.register_profile(
    "laws",
    deadline=None,
    derandomize=True,
    max_examples=int(os.environ.get("TAPCHART_EXAMPLES", "100")),
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("laws")
