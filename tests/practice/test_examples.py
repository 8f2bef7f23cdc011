"""The worked examples in the docstrings hold."""

import doctest
import importlib
import pkgutil

import pytest

import server.practice

MODULES = [f"server.practice.{module.name}" for module in pkgutil.iter_modules(server.practice.__path__)]


@pytest.mark.parametrize("name", MODULES)
def test_examples_in_docstrings_hold(name: str) -> None:
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def test_there_are_examples() -> None:
    assert sum(doctest.testmod(importlib.import_module(name)).attempted for name in MODULES) >= 15
