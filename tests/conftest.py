"""What holds for every test: how hypothesis searches."""

import os

from hypothesis import HealthCheck, settings

settings.register_profile(
    "here", deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile("ci", settings.get_profile("here"), derandomize=True, print_blob=True)
settings.register_profile("long", settings.get_profile("here"), max_examples=500)
settings.load_profile(os.environ.get("SEARCH") or ("ci" if os.environ.get("CI") else "here"))
