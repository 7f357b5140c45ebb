"""Settings of all tests: properties are tried without a clock, since other work may share the machine.

Screens are as wide as where there is no terminal, whoever runs the tests.
"""

import os

from hypothesis import settings

os.environ.pop("COLUMNS", None)
settings.register_profile("unhurried", deadline=None, print_blob=True)
settings.load_profile("unhurried")
