"""Reading pages as a person would: by their forms, links and words."""

import re
from dataclasses import dataclass
from html import unescape
from html.parser import HTMLParser


@dataclass(frozen=True)
class Form:
    """A form: where it goes and what it carries."""

    action: str
    fields: dict[str, str]


class _Ids(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.ids: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.ids += [value or "" for name, value in attrs if name == "id"]


def ids(html: str) -> list[str]:
    """Every id, in order."""
    parser = _Ids()
    parser.feed(html)
    return parser.ids


def element(html: str, name: str) -> str:
    """The markup of the element with an id, its own tag included."""
    start = re.search(rf'<(\w[\w-]*)(?=[^>]*\sid="{re.escape(name)}")[^>]*>', html)
    assert start, f"no element has the id {name}"
    tag, depth = start[1], 0
    for found in re.finditer(rf"<(/?){tag}\b[^>]*>", html[start.start() :]):
        depth += -1 if found[1] else 1
        if depth == 0:
            return html[start.start() : start.start() + found.end()]
    raise AssertionError(f"the element {name} does not end")


def form_with(html: str, button: str) -> Form:
    """The form that holds the button (or field) of an id."""
    for found in re.finditer(r"<form\b[^>]*>.*?</form>", html, re.S):
        if f'id="{button}"' in found[0]:
            return _form(found[0])
    raise AssertionError(f"no form holds {button}")


def tap_forms(html: str) -> list[Form]:
    """The forms of the ranked list, the best first; those that are refused are left out."""
    found = re.finditer(r"<form\b[^>]*data-tap=.*?</form>", html, re.S)
    return [_form(one[0]) for one in found if 'data-refused=""' in one[0]]


def words(html: str) -> str:
    """What is read on the page, without tags and drawings."""
    plain = re.sub(r"<svg\b.*?</svg>", " ", html, flags=re.S)
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", plain)).split())


def _form(html: str) -> Form:
    action = re.search(r'action="([^"]*)"', html)
    assert action
    pairs = {}
    for field in re.findall(r"<input\b[^>]*>", html):
        name, value = re.search(r'name="([^"]*)"', field), re.search(r'value="([^"]*)"', field)
        if name:
            pairs[unescape(name[1])] = unescape(value[1]) if value else ""
    for name, options in re.findall(r'<select\b[^>]*\bname="([^"]*)"[^>]*>(.*?)</select>', html, re.S):
        chosen = re.search(r'<option value="([^"]*)" selected', options)
        if chosen:
            pairs[unescape(name)] = unescape(chosen[1])
    return Form(unescape(action[1]), pairs)
