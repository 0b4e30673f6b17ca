"""How hypothesis draws: the same examples each time, unless ./check --explore asks for others.

The tests of the record run on SQLite in a file of a folder that is thrown away, or on the PostgreSQL whose
address STRANDLINE_TEST_DATABASE holds: ./check does both.
"""

import os
import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import settings

from strandline.records.settings import base_settings, postgres_database, sqlite_database
from strandline.records.setup import start

# No deadline: a busy machine must not fail a test.
settings.register_profile("steady", derandomize=True, deadline=None, database=None, print_blob=True)
settings.register_profile("explore", deadline=None, print_blob=True)
settings.load_profile("steady")

FOLDER = pytest.StashKey[Path]()


def pytest_configure(config: pytest.Config) -> None:
    """Tell Django which database before any test file is read."""
    folder = config.stash[FOLDER] = Path(tempfile.mkdtemp(prefix="strandline-test-"))
    address = os.environ.get("STRANDLINE_TEST_DATABASE")
    database = postgres_database(address) if address else sqlite_database(folder / "practice.sqlite3")
    if not address:
        database["TEST"] = {"NAME": str(folder / "test.sqlite3")}
    wanted = base_settings(database, "a key for tests only", folder, ("testserver",))
    # The real one is slow on purpose, which no test needs.
    wanted["PASSWORD_HASHERS"] = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    start(wanted)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Tests of what only a server does are left for the run on PostgreSQL: ./check does both."""
    if os.environ.get("STRANDLINE_TEST_DATABASE"):
        return
    left = [item for item in items if item.get_closest_marker("on_postgres")]
    if left:
        config.hook.pytest_deselected(items=left)
        items[:] = [item for item in items if item not in left]


def pytest_unconfigure(config: pytest.Config) -> None:
    """Take the folder away."""
    shutil.rmtree(config.stash[FOLDER], ignore_errors=True)
