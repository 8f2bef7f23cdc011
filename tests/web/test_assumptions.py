"""What is assumed reads like a figure, and can be said better."""

import re

from fastapi.testclient import TestClient

from tests.web.reading import element, form_with, words

OPEN = "/boats/sloop?mode=starting&event=engine-start&open=assumptions"


def test_no_assumed_figure_is_shown_in_powers_of_ten(bystander: TestClient) -> None:
    told = element(bystander.get(OPEN).text, "assumptions")

    assert not re.search(r"\d e-?\d|\de-\d", told)
    assert re.search(r"[\d.]+ mΩ [(\s]+[\d.]+ mΩ to [\d.]+ mΩ", words(told))


def test_what_is_shown_in_milliohms_is_typed_in_ohms_and_comes_back_the_same(sloop: TestClient) -> None:
    """The field keeps the unit beside it; 0.0002 Ω is 0.2 mΩ."""
    page = sloop.get(OPEN).text
    name = re.search(r'id="(assume-[^"]*)-value" name="value" value="0\.000\d+"', page)
    assert name
    form = form_with(page, f"{name[1]}-value")
    after = sloop.get(
        sloop.post(form.action, data=form.fields | {"value": "0.0002"}).headers["location"]
    ).text

    assert "0.2 mΩ" in words(element(after, name[1].replace("assume-", "assumption-", 1)))
    assert f'id="{name[1]}-value" name="value" value="0.0002"' in after
