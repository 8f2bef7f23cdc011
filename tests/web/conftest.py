"""A browser-like client for the tests of the web floor."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from server.main import create_app
from server.settings import Settings

ORIGIN = "http://127.0.0.1"


@pytest.fixture
def client(tmp_path: Path) -> Iterator[TestClient]:
    """A browser-like client of a server over an empty data folder, speaking from our own origin."""
    with TestClient(
        create_app(Settings(data_dir=tmp_path)),
        base_url=ORIGIN,
        headers={"Origin": ORIGIN},
        follow_redirects=False,
    ) as client:
        yield client


@pytest.fixture
def sloop(tmp_path: Path) -> Iterator[TestClient]:
    """The same over a folder that holds the demo boats."""
    with TestClient(
        create_app(Settings(data_dir=tmp_path, demo=True)),
        base_url=ORIGIN,
        headers={"Origin": ORIGIN},
        follow_redirects=False,
    ) as client:
        yield client
