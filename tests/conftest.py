"""Property tests judge answers, not the clock: two busy cores are no reason to fail."""

from hypothesis import settings

settings.register_profile("workshop", deadline=None)
settings.load_profile("workshop")
