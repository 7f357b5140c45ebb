"""Settings of all tests: properties are tried without a clock, since other work may share the machine.

Screens are as wide as where there is no terminal, whoever runs the tests.
"""

import os

import pytest
from hypothesis import settings
from lxml import etree

from tests.tei_schema import schema_from

os.environ.pop("COLUMNS", None)
settings.register_profile("unhurried", deadline=None, print_blob=True)
settings.load_profile("unhurried")


@pytest.fixture(scope="session")
def schema(request: pytest.FixtureRequest) -> etree.RelaxNG:
    """The schema of TEI, fetched if it is not in pytest's cache yet."""
    cache = request.config.cache
    if cache is None:
        pytest.skip("pytest runs without its cache, where the schema of TEI would be kept")
    found = schema_from(cache.mkdir("tei_schema"))
    if found is None:
        pytest.skip("the schema of TEI is not at hand: it could not be fetched")
    return found
