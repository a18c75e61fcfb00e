"""What every test shares: hypothesis profiles, and an environment in which screens look alike."""

import os

from hypothesis import settings

settings.register_profile("default", deadline=None, max_examples=100, derandomize=True, database=None)
settings.register_profile("ci", deadline=None, max_examples=10_000, database=None)
settings.load_profile(os.environ.get("AXLETRIM_HYPOTHESIS", "default"))

os.environ.pop("NO_COLOR", None)
os.environ.pop("TEXTUAL_THEME", None)
