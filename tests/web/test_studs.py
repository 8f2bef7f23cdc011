"""The studs of a place in the ranked list."""

import re

from fastapi.testclient import TestClient

from tests.web.reading import element, tap_forms

HELD = "/boats/sloop/pick-up?mode=starting&event=engine-start&part=autopilot&terminal=negative"


def options(page: str, place: str) -> list[str]:
    found = element(page, f"put-{place}-stud")
    return re.findall(r"<option[^>]*>([^<]*)</option>", found)


def test_a_bar_offers_its_studs_in_order_with_what_stands_on_them(bystander: TestClient) -> None:
    page = bystander.get(HELD).text

    assert options(page, "negative-bus--stud-10") == [
        *(f"stud {number}, 1 on it" for number in range(1, 10)),
        "stud 10, free",
    ]


def test_the_free_stud_is_chosen_where_nobody_chooses(bystander: TestClient) -> None:
    forms = tap_forms(bystander.get(HELD).text)
    bar = next(one for one in forms if one.fields["to_part"] == "negative-bus")

    assert bar.fields["to_terminal"] == "stud-10"


def test_a_place_of_one_terminal_has_no_choice(bystander: TestClient) -> None:
    assert 'id="put-shunt--system-stud"' not in bystander.get(HELD).text
