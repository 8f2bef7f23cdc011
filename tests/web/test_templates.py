"""Templates and views stay in step, both ways; each fragment has one root with an id."""

import dataclasses
import importlib
import pkgutil
import re
from pathlib import Path

import pytest
from jinja2 import Environment, nodes

import server.web.views as views_package
from server.bundled import bundled

TEMPLATES = Path(bundled("templates"))
SHARED = {"cursor.html", "layout.html", "forms.html", "scene.html", "sheets.html", "told.html"}
NAMED = sorted(
    str(path.relative_to(TEMPLATES)) for path in TEMPLATES.rglob("*.html") if path.name not in SHARED
)


def views() -> dict[str, type]:
    """Every view by its name."""
    found: dict[str, type] = {}
    for module in pkgutil.iter_modules(views_package.__path__):
        loaded = importlib.import_module(f"server.web.views.{module.name}")
        found |= {
            name: value
            for name, value in vars(loaded).items()
            if isinstance(value, type) and dataclasses.is_dataclass(value)
        }
    return found


def source(name: str) -> str:
    return (TEMPLATES / name).read_text(encoding="utf-8")


def view_of(name: str) -> type:
    """The view that a template names on its first line."""
    said = re.match(r"\{# (\w+)\b", source(name))
    assert said, f"{name} does not name its view"
    return views()[said[1]]


def used_of(name: str, variable: str) -> set[str]:
    """The fields of a variable that a template uses, outside of parts where the name means something else."""
    tree = Environment(autoescape=True).parse(source(name))
    return {
        found.attr
        for found in tree.find_all(nodes.Getattr)
        if isinstance(found.node, nodes.Name) and found.node.name == variable
    }


@pytest.mark.parametrize("name", NAMED)
def test_a_template_uses_exactly_the_fields_of_its_view(name: str) -> None:
    fields = {field.name for field in dataclasses.fields(view_of(name))}
    twins = [other for other in NAMED if view_of(other) is view_of(name)]
    used = {field for twin in twins for field in used_of(twin, "view")}
    by_layout = {"title"}

    assert used - fields == set()
    assert fields - used - by_layout == set()


@pytest.mark.parametrize("name", [one for one in NAMED if "/_" in one])
def test_a_fragment_has_one_root_with_an_id_that_can_be_swapped_out_of_band(name: str) -> None:
    body = re.sub(r"\{#.*?#\}|\{% from [^%]*%\}|\{% macro .*?\{% endmacro %\}", "", source(name), flags=re.S)
    root = re.match(r"\s*<(\w+)\b(.*)", body)

    assert root
    assert re.search(r"\bid=", root[2])
    assert '{% if oob %} hx-swap-oob="true"{% endif %}' in root[2]
    assert body.rstrip().endswith(f"</{root[1]}>")


def test_fields_of_nested_views_exist() -> None:
    """Every name after a dot in a loop is a field of some view, so that a misspelt one cannot pass."""
    known = {field.name for view in views().values() for field in dataclasses.fields(view)}
    builtin = {"path", "theme", "view"}
    for name in NAMED:
        tree = Environment(autoescape=True).parse(source(name))
        used = {found.attr for found in tree.find_all(nodes.Getattr)}
        assert used - known - builtin == set(), name
