"""Settings of all tests."""

import os

from hypothesis import settings

# The gate tries the same examples each time; HYPOTHESIS_PROFILE=search looks for new ones.
settings.register_profile("gate", derandomize=True, deadline=None)
settings.register_profile("search", deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "gate"))
