"""What holds for all tests: hypothesis sets no limit on time, for a busy machine must not fail a test."""

from hypothesis import settings

settings.register_profile("untimed", deadline=None)
settings.register_profile(
    "brief", deadline=None, max_examples=8, database=None
)  # for what must only fail quickly, if at all
settings.load_profile("untimed")
