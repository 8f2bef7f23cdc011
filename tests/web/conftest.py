"""A browser-like client for the tests of the web floor."""

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from server.actions.yard import open_yard
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


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder that holds the demo boats; to be copied, never to be used."""
    folder = tmp_path_factory.mktemp("demo")
    open_yard(folder, demo=True).store.close()
    return folder


@pytest.fixture
def sloop(tmp_path: Path, demo_folder: Path) -> Iterator[TestClient]:
    """The same over a folder that holds the demo boats."""
    with _client(shutil.copytree(demo_folder, tmp_path / "data")) as client:
        yield client


@pytest.fixture(scope="module")
def bystander(tmp_path_factory: pytest.TempPathFactory, demo_folder: Path) -> Iterator[TestClient]:
    """One client for a whole module: for requests that must not change anything."""
    with _client(shutil.copytree(demo_folder, tmp_path_factory.mktemp("bystander") / "data")) as client:
        yield client


def _client(folder: Path) -> TestClient:
    return TestClient(
        create_app(Settings(data_dir=folder)),
        base_url=ORIGIN,
        headers={"Origin": ORIGIN},
        follow_redirects=False,
    )
