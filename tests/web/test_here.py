"""What is done at the place that was touched: put in, wired, chained, listed, taken out, moved, found."""

import json

import pytest
from fastapi.testclient import TestClient

from tests.web.reading import element, form_with, words

HTMX = {"HX-Request": "true"}


class Picture:
    """The workbench of one boat, used as a person would who touches the picture."""

    def __init__(self, client: TestClient, boat: str = "sloop") -> None:
        """Look at a boat."""
        self.client = client
        self.boat = boat

    def card(self, at: str, do: str = "", **more: str) -> str:
        """The card of a touched thing."""
        asked = {"selected": at, "do": do} | more
        answer = self.client.get(f"/boats/{self.boat}/here", params=asked, headers=HTMX)
        assert answer.status_code == 200
        return element(answer.text, "thing")

    def do(self, card: str, button: str = "doing-go", **typed: str) -> str:
        """Fill in the card's form and send it; the boat is the option then, if one was opened."""
        form = form_with(card, button)
        answer = self.client.post(form.action, data=form.fields | typed, headers=HTMX)
        self.status = answer.status_code
        if pushed := answer.headers.get("HX-Push-Url"):
            self.url = pushed
            self.boat = pushed.split("/")[2].partition("?")[0]
        return answer.text

    def document(self) -> dict[str, list[dict[str, object]]]:
        """The boat as it is kept."""
        found: dict[str, list[dict[str, object]]] = json.loads(
            self.client.get(f"/boats/{self.boat}/export").content
        )
        return found

    def part(self, name: str) -> dict[str, object]:
        """The part of this name."""
        return next(one for one in self.document()["parts"] if one["name"] == name)

    def ends(self, conductor: str) -> tuple[object, object]:
        """The two ends of a conductor, as part.terminal."""
        one = next(one for one in self.document()["conductors"] if one["id"] == conductor)
        return tuple(  # type: ignore[return-value]
            None if end is None else f"{end['part']}.{end['terminal']}"  # type: ignore[index]
            for end in (one.get("tail"), one.get("head"))
        )


@pytest.fixture
def picture(sloop: TestClient) -> Picture:
    """The demo sloop."""
    return Picture(sloop)


def test_a_touched_conductor_tells_its_ends_and_what_can_be_done(picture: Picture) -> None:
    card = picture.card("panel-feed")

    assert "Put something into it" in card
    assert "Take it out" in card
    assert "Wire from here" not in card
    assert "Main fuse: load side" in words(card) or "load side" in words(card)


def test_a_fuse_is_spliced_near_the_source_with_its_lengths_shared_and_one_undo(picture: Picture) -> None:
    before = picture.client.get("/boats/sloop/export").content
    card = picture.card("panel-feed", "put")
    assert form_with(card, "doing-go").fields["near"] == "tail"
    page = picture.do(card, name="Panel fuse", rating_a="50", distance="0.5")

    assert picture.status == 200
    fuse = picture.part("Panel fuse")
    assert picture.ends("panel-feed")[0] == f"{fuse['id']}.load"
    assert "Panel fuse inserted into" in words(element(page, "change"))
    undone = form_with(page, "undo-change")
    picture.client.post(undone.action, data=undone.fields, headers=HTMX)
    assert picture.client.get(f"/boats/{picture.boat}/export").content == before


def test_what_is_wrong_stands_beside_its_field_and_what_was_typed_stays(picture: Picture) -> None:
    answer = picture.do(picture.card("panel-feed", "put"), name="F", rating_a="much", distance="-1")

    assert picture.status == 422
    assert "Enter a number in A" in answer
    assert "Enter more than 0 m" in answer
    assert 'value="much"' in answer


def test_a_cut_beyond_the_end_is_refused_in_words(picture: Picture) -> None:
    answer = picture.do(picture.card("panel-feed", "put"), name="F", rating_a="50", distance="400")

    assert picture.status == 422
    assert "shorter than that" in words(element(answer, "thing"))
