"""The office's own tables on the page of rules: entered, refused with nothing lost, used, given out."""

import re

import pytest
from fastapi.testclient import TestClient

from server.practice.office_text import read_office_table
from tests.practice.test_office import HEAD, ROWS
from tests.web.reading import element, form_with, ids, words

TYPED = {
    "standard": "Made-up standard",
    "edition": "2099",
    "clause": "table 1",
    "typed_by": "A. Bee",
    "checked_by": "C. Dee",
    "rows": ROWS,
}


def page(client: TestClient) -> str:
    return client.get("/rules").text


def enter(client: TestClient, **changes: str) -> str:
    """Send the form with what a person typed; the page after it."""
    form = form_with(page(client), "own-enter")
    answer = client.post(form.action, data=form.fields | TYPED | changes)
    assert answer.headers["location"] == "/rules#office"
    return page(client)


def table_id(html: str) -> str:
    found = re.search(r'id="own-([a-z0-9]+)-file"', html)
    assert found
    return found[1]


def test_before_a_table_is_entered_the_page_says_what_is_not_checked(bystander: TestClient) -> None:
    html = page(bystander)

    assert "are not checked" in words(element(html, "office-none"))
    assert "the published tables" in words(element(html, "own-boat-sloop"))


def test_a_table_is_kept_with_who_typed_and_who_checked_it(sloop: TestClient) -> None:
    html = enter(sloop)
    own = words(element(html, f"own-{table_id(html)}"))

    assert "Made-up standard, edition 2099, table 1" in own
    assert "Typed by A. Bee, checked by C. Dee." in own
    assert "6 mm² 31 A 37 A 41 A" in own
    assert "1.5 mm² 11 A 13 A –" in own
    assert "in an engine space × 0.5 × 0.75 –" in own
    assert "4 to 6 in a bundle: × 0.8; 7 or more in a bundle: × 0.6; 3 in a bundle: × 0.9." in own
    assert "office-none" not in ids(html)


def test_a_wrong_table_comes_back_as_typed_with_every_row_and_its_mend(sloop: TestClient) -> None:
    form = form_with(page(sloop), "own-enter")
    rows = "size; 70\nwide; 31\n6; many\n"
    answer = sloop.post(
        form.action, data=form.fields | TYPED | {"rows": rows, "edition": " ", "clause": "<b>"}
    )
    html = answer.text

    assert answer.status_code == 422
    problems = words(element(html, "own-rows-problems"))
    assert "Row 2: “wide” is no conductor size" in problems
    assert "Row 3: “many” under 70 °C is not a current in amperes. Write a number" in problems
    assert "“Edition” is empty. Fill it in" in words(element(html, "own-edition-error"))
    assert "wide; 31" in element(html, "own-rows")
    assert 'value="Made-up standard"' in html
    assert 'value="&lt;b&gt;"' in html
    assert "office-none" in ids(html)


def test_a_file_takes_the_place_of_the_rows_and_brings_its_own_head(sloop: TestClient) -> None:
    form = form_with(page(sloop), "own-enter")
    file = {"file": ("table.csv", ("\ufeff" + HEAD + ROWS).encode(), "text/csv")}
    answer = sloop.post(form.action, data=form.fields, files=file)
    html = page(sloop)

    assert answer.status_code == 303
    assert "Typed by A. Bee, checked by C. Dee." in words(element(html, f"own-{table_id(html)}"))


def test_a_wrong_file_is_shown_as_rows_to_be_mended_and_a_picture_is_refused(sloop: TestClient) -> None:
    form = form_with(page(sloop), "own-enter")
    bad = sloop.post(
        form.action, data=form.fields, files={"file": ("t.csv", (HEAD + "size; 70\n6; x\n").encode())}
    )
    picture = sloop.post(
        form.action, data=form.fields | TYPED, files={"file": ("t.csv", b"\xff\xfe\x00\x81")}
    )

    assert (bad.status_code, picture.status_code) == (422, 422)
    assert "Row 7: “x” under 70 °C" in words(element(bad.text, "own-rows-problems"))
    assert "# standard: Made-up standard" in element(bad.text, "own-rows")
    assert "File: it is no text. Save the table as CSV" in words(element(picture.text, "own-rows-problems"))
    assert "10 AWG; 29" in element(picture.text, "own-rows")


def test_a_stored_table_is_given_out_as_a_file_that_is_read_back(sloop: TestClient) -> None:
    key = table_id(enter(sloop))
    answer = sloop.get(f"/rules/tables/{key}")

    assert read_office_table(answer.text) == read_office_table(HEAD + ROWS)
    assert "attachment" in answer.headers["content-disposition"]
    assert sloop.get("/rules/tables/nothing").status_code == 404


def test_a_boat_is_judged_by_the_table_that_is_chosen_for_it(sloop: TestClient) -> None:
    """The workboat is checked by metric practice, whose table is not shipped."""
    before = words(sloop.get("/boats/workboat/findings").text)
    html = enter(sloop)
    form = form_with(html, "own-boat-workboat-set")
    done = sloop.post(form.action, data=form.fields | {"table": table_id(html)})
    row = words(element(page(sloop), "own-boat-workboat"))
    after = words(sloop.get("/boats/workboat/findings").text)

    assert done.headers["location"] == "/rules#own-boat-workboat"
    assert "office's own table, Made-up standard, edition 2099, table 1, typed by A. Bee" in row
    assert "table not shipped" in before
    assert "table not shipped" not in after
    assert sloop.get("/boats/workboat/export").json()["practice"]["ampacity_table"]["edition"] == "2099"


def test_a_boat_keeps_its_table_when_that_is_put_away_until_another_is_chosen(sloop: TestClient) -> None:
    html = enter(sloop)
    key = table_id(html)
    form = form_with(html, "own-boat-workboat-set")
    sloop.post(form.action, data=form.fields | {"table": key})
    away = form_with(page(sloop), f"own-{key}-remove")
    sloop.post(away.action)
    html = page(sloop)

    row = element(html, "own-boat-workboat")
    assert "office-none" in ids(html)
    assert "as in its file: Made-up standard, 2099" in words(row)
    form = form_with(html, "own-boat-workboat-set")
    sloop.post(form.action, data=form.fields | {"table": "keep"})
    assert "as in its file" in words(element(page(sloop), "own-boat-workboat"))
    sloop.post(form.action, data=form.fields | {"table": "none"})
    assert "as in its file" not in words(element(page(sloop), "own-boat-workboat"))


def test_a_table_put_away_is_listed_below_and_brought_back_by_one_button(sloop: TestClient) -> None:
    html = enter(sloop)
    key = table_id(html)
    away = form_with(html, f"own-{key}-remove")
    assert sloop.post(away.action).status_code == 303
    html = page(sloop)
    assert "Put away: 1" in words(element(html, "office-put-away"))
    assert "Made-up standard, edition 2099" in words(element(html, "office-put-away"))
    back = form_with(html, f"own-{key}-bring-back")
    assert sloop.post(back.action).status_code == 303
    html = page(sloop)

    assert f"own-{key}-remove" in ids(html)
    assert "office-put-away" not in ids(html)
    assert sloop.post("/rules/tables/nothing/bring-back").status_code == 404


def test_a_stale_choice_is_told_what_changed_meanwhile(sloop: TestClient) -> None:
    html = enter(sloop)
    form = form_with(html, "own-boat-workboat-set")
    chosen = form.fields | {"table": table_id(html)}
    sloop.post(form.action, data=chosen)

    late = sloop.post(form.action, data=chosen | {"request_id": "f" * 32, "table": "none"})

    assert late.status_code == 409
    assert "This boat changed meanwhile" in words(late.text)


@pytest.mark.parametrize("fields", [{}, {"table": "nothing"}])
def test_a_choice_of_nothing_is_refused(sloop: TestClient, fields: dict[str, str]) -> None:
    form = form_with(page(sloop), "own-boat-workboat-set")
    kept = {name: value for name, value in form.fields.items() if name != "table"}

    assert sloop.post(form.action, data=kept | fields).status_code in {404, 422}
