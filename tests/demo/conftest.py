"""The whole works is written once a session: it takes some seconds."""

import pytest

from fieldlog.operations.shop import Shop
from tests.demo.written import write


@pytest.fixture(scope="session")
def works(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    return write(tmp_path_factory.mktemp("works"))
