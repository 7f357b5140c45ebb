"""Settings of all tests: properties are tried without a clock, since other work may share the machine."""

from hypothesis import settings

settings.register_profile("unhurried", deadline=None, print_blob=True)
settings.load_profile("unhurried")
