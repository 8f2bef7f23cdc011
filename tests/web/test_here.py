"""What is done at the place that was touched: put in, wired, chained, listed, taken out, moved, found."""

import html
import json
import re

import pytest
from fastapi.testclient import TestClient

from tests.web.reading import element, form_with, tap_forms, words

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


def test_a_bar_is_cut_in_and_a_bolted_joint_is_parted_at_its_end(picture: Picture) -> None:
    picture.do(picture.card("panel-feed", "put", what="busbar"), name="Second bar", studs="4", distance="0.3")
    bar = picture.part("Second bar")
    assert picture.ends("panel-feed")[0] == f"{bar['id']}.stud-2"

    parted = picture.card("alternator-post", "put", what="battery-switch")
    assert "here-distance" not in parted
    picture.do(parted, name="Alternator switch")

    assert picture.ends("alternator-post")[0] == f"{picture.part('Alternator switch')['id']}.out"


def test_a_load_lands_on_the_touched_way_with_both_leads_and_is_switched_on(picture: Picture) -> None:
    card = picture.card("panel.dc-spare-1", "put", what="lights")
    assert 'value="panel.dc-spare-1" selected' in card
    page = picture.do(card, name="Reading light", power_w="6", head="Somewhere", size="16 AWG", length="3")
    assert picture.status == 422
    assert "Choose one of the terminals" in page

    picture.do(
        card, name="Reading light", power_w="6", head="Main negative bus: stud 8", size="16 AWG", length="3"
    )
    light = picture.part("Reading light")["id"]
    ends = [
        picture.ends(str(one["id"]))
        for one in picture.document()["conductors"]
        if str(light) in json.dumps(one)
    ]

    assert ends == [("panel.dc-spare-1", f"{light}.supply"), (f"{light}.negative", "negative-bus.stud-8")]
    assert any(
        running["part"] == light
        for running in picture.document()["modes"][0]["on"]  # type: ignore[attr-defined]
    )


def test_on_a_negative_terminal_a_load_asks_where_it_is_fed_from(picture: Picture) -> None:
    card = picture.card("negative-bus.stud-8", "put", what="lights")

    assert "Fed from" in card
    assert "Returns to" not in card


def test_a_part_is_put_on_a_post_by_a_cable_with_a_fuse_or_bolted_straight_on(picture: Picture) -> None:
    card = picture.card("house-bus", "put", what="post")
    picture.do(card, name="Far post", size="2 AWG", length="1.5", fuse="100", number="90")
    far = picture.part("Far post")
    picture.do(
        picture.card("house-bus", "put", what="fuse"), name="Near fuse", rating_a="30", joined="bolted"
    )
    near = picture.part("Near fuse")
    document = picture.document()

    link = next(one for one in document["conductors"] if str(near["id"]) in json.dumps(one))
    assert (link["kind"], link["head"]) == ("link", {"part": near["id"], "terminal": "line"})
    assert any(one.get("number") == "90" for one in document["cables"])
    assert sum(one["name"] == "Fuse of cable 90" for one in document["parts"]) == 1
    assert far["kind"] == "post"


def test_two_terminals_are_wired_and_the_second_may_be_any_part(picture: Picture) -> None:
    waiting = picture.card("house-bus.stud-1", "wire")
    assert 'data-wires-from="house-bus.stud-1"' in waiting
    assert "Touch where it goes" in waiting
    refused = picture.card("house-bus.stud-1", "wire", to="panel-feed")
    assert "A cable lands on a terminal" in refused
    assert "data-wires-from" in refused

    met = picture.card("house-bus.stud-1", "wire", to="autopilot")
    assert "data-wires-from" not in met
    assert form_with(met, "doing-go").fields["head"] == "Autopilot: supply"
    picture.do(met, size="14 AWG", length="2", number="91")
    wires = [
        one
        for one in picture.document()["conductors"]
        if one.get("head") == {"part": "autopilot", "terminal": "supply"}
    ]

    assert {"part": "house-bus", "terminal": "stud-1"} in [one["tail"] for one in wires]
    negative = picture.card("negative-bus.stud-8", "wire", to="autopilot")
    assert form_with(negative, "doing-go").fields["head"] == "Autopilot: negative"
    assert "Choose another terminal" in picture.do(met, head="House positive bus: stud 1")


def test_a_bank_is_chained_and_picked_up_from_opposite_ends(picture: Picture) -> None:
    card = picture.card("start", "bank")
    assert "In series" not in card
    picture.do(card, more="2", size="2/0 AWG", length="0.3")
    batteries = [
        one
        for one in picture.document()["parts"]
        if one["kind"] == "battery" and str(one["name"]).startswith("Start")
    ]

    assert [one["name"] for one in batteries] == ["Start battery", "Start battery 2", "Start battery 3"]
    last = batteries[-1]["id"]
    assert picture.ends("start-neg")[0] == f"{last}.negative"
    assert picture.ends("start-post")[0] == "start.positive"
    jumpers = [
        one
        for one in picture.document()["conductors"]
        if {one.get("tail", {}).get("part"), one.get("head", {}).get("part")} <= {b["id"] for b in batteries}  # type: ignore[attr-defined]
    ]
    assert len(jumpers) == 4


def test_a_bank_may_be_picked_up_from_one_end_and_six_volts_join_in_series(picture: Picture) -> None:
    picture.do(picture.card("start", "bank"), more="1", pick="same")
    assert picture.ends("start-neg")[0] == "start.negative"

    client = picture.client
    document = json.loads(client.get("/boats/sloop/export").content)
    six = next(one for one in document["parts"] if one["id"] == "start")
    assert six["nominal_voltage_v"] == 12.0
    six["nominal_voltage_v"] = 6.0
    posted = client.post(
        "/boats/import", files={"file": ("six.json", json.dumps(document))}, headers={"Accept": "text/html"}
    )
    series = Picture(client, posted.headers["location"].split("/")[2])
    card = series.card("start", "bank")
    assert "In series: 1 more make 12 V" in card
    series.do(card, size="2/0 AWG")
    second = next(one for one in series.document()["parts"] if one["name"] == "Start battery 3")

    assert series.ends("start-neg")[0] == f"{second['id']}.negative"
    assert any(
        one.get("tail") == {"part": "start", "terminal": "negative"}
        and one.get("head") == {"part": second["id"], "terminal": "positive"}
        for one in series.document()["conductors"]
    )


@pytest.mark.parametrize("typed", [{"more": "many"}, {"more": "1.5"}, {"more": "1", "length": "far"}])
def test_a_bank_that_cannot_be_made_says_which_field(picture: Picture, typed: dict[str, str]) -> None:
    page = picture.do(picture.card("start", "bank"), **typed)

    assert picture.status == 422
    assert 'aria-invalid="true"' in page


def test_a_panel_gets_its_ways_as_a_list_and_what_is_wired_stays(picture: Picture) -> None:
    card = picture.card("panel", "ways")
    lines = element(card, "here-ways-dc").split(">", 1)[1].removesuffix("</textarea>").strip().splitlines()
    assert "Plotter, 5" in lines
    before = picture.ends("plotter-pos")[0]
    wished = [line.replace("Plotter, 5", "Plotter at the helm, 7.5") for line in lines]
    picture.do(card, **{"ways-dc": "\n".join([*wished, "Music, 10", "Spot light"])})
    ways = picture.part("Main panel")["sections"][0]["ways"]  # type: ignore[index]
    named = {one["name"]: one for one in ways}

    assert picture.ends("plotter-pos")[0] == before == f"panel.dc-{named['Plotter at the helm']['id']}"
    assert named["Plotter at the helm"]["device"]["rating_a"] == 7.5
    assert named["Music"]["device"]["rating_a"] == 10
    assert "rating_a" not in named["Spot light"]["device"]
    assert named["Music"]["device_kind"] == named["VHF radio"]["device_kind"]


@pytest.mark.parametrize(
    ("text", "word"),
    [("", "a cable lies on way"), ("\n".join(f"Way {n}, 5" for n in range(101)), "at most 100 ways")],
)
def test_ways_that_cannot_be_so_say_why_beside_the_list(picture: Picture, text: str, word: str) -> None:
    page = picture.do(picture.card("panel", "ways"), **{"ways-dc": text})

    assert picture.status == 422
    assert word in words(page).lower()


def test_what_hangs_on_a_part_is_shown_before_it_is_taken_out_and_may_go_too(picture: Picture) -> None:
    card = picture.card("autopilot", "out")
    assert "Wired to it now" in card
    assert words(element(card, "doing")).count("Cable 28") == 1
    picture.do(card)
    assert all(one["name"] != "Autopilot" for one in picture.document()["parts"])
    assert picture.ends("autopilot-pos")[1] is None

    picture.boat = "sloop"
    picture.do(picture.card("vhf", "out"), hanging="gone")
    left = [one["id"] for one in picture.document()["conductors"]]

    assert not {"vhf-pos", "vhf-neg"} & set(left)


def test_a_fuse_that_is_taken_out_joins_its_cable_again_or_leaves_two_ends_and_undo_is_exact(
    picture: Picture,
) -> None:
    wire = next(one for one in picture.document()["conductors"] if one.get("size") and one.get("length_m"))
    whole = (picture.ends(str(wire["id"])), wire["length_m"])
    picture.do(picture.card(str(wire["id"]), "put"), name="Cut in", rating_a="10")
    cut = picture.client.get(f"/boats/{picture.boat}/export").content
    fuse = str(picture.part("Cut in")["id"])
    card = picture.card(fuse, "out")
    page = picture.do(card)
    joined = next(one for one in picture.document()["conductors"] if one["id"] == wire["id"])
    undo = form_with(page, "undo")
    picture.client.post(undo.action, data=undo.fields)
    back = picture.client.get(f"/boats/{picture.boat}/export").content
    picture.do(picture.card(fuse, "out"), hanging="loose")

    assert "then goes from" in words(element(card, "doing"))
    assert (picture.status, page.count('id="thing-title"')) == (200, 1)
    assert (picture.ends(str(wire["id"]))[0] is None) != (picture.ends(str(wire["id"]))[1] is None)
    assert joined["length_m"] == pytest.approx(whole[1])
    assert back == cut
    assert whole[0] == tuple(f"{joined[end]['part']}.{joined[end]['terminal']}" for end in ("tail", "head"))  # type: ignore[index]


def test_a_conductor_is_taken_out_with_its_cable_or_beside_its_sisters(picture: Picture) -> None:
    shared = next(
        one
        for one in picture.document()["conductors"]
        if "other conductors" in picture.card(str(one["id"]), "out")
    )
    page = picture.do(picture.card(str(shared["id"]), "out"))

    assert picture.status == 200
    assert all(one["id"] != shared["id"] for one in picture.document()["conductors"])
    assert any(one.get("cable") == shared["cable"] for one in picture.document()["conductors"])
    assert element(page, "thing").count("thing-title") == 0


def test_rows_change_places_one_by_one_and_are_given_back(picture: Picture) -> None:
    def rows() -> list[str]:
        page = picture.client.get(f"/boats/{picture.boat}?mode=starting").text
        return [one for one in _plates(page) if one in {"load-plotter", "load-instruments", "load-vhf"}]

    first = rows()
    picture.do(picture.card("instruments"), "row-up")
    assert rows() == [first[1], first[0], first[2]]
    picture.do(picture.card("instruments"), "row-down")
    assert rows() == first
    card = picture.card("instruments")
    picture.do(card, "row-own")

    assert "row_order" not in picture.document()
    assert 'id="row-own"' not in picture.card("instruments")
    refused = picture.do(picture.card("alternator"), "row-up")
    while picture.status == 200:
        refused = picture.do(picture.card("alternator"), "row-up")
    assert "last of its rows" in words(element(refused, "thing"))


def _plates(page: str) -> list[str]:
    return [one.split('"')[0] for one in page.split('<g id="')[1:] if one.startswith("load-")]


def test_a_thing_is_found_by_name_and_a_cable_by_its_number(picture: Picture) -> None:
    def found(q: str) -> str:
        return picture.client.get("/boats/sloop/find", params={"q": q}, headers=HTMX).text

    assert "Cable 15" in element(found("15"), "thing-title")
    assert "Autopilot" in found(" autoPILOT ")
    several = found("fuse")
    assert "Found: 7" in words(element(several, "thing-title"))
    assert several.count('id="found-') == 7
    assert "Nothing aboard is called" in found("gyroscope")
    assert "Nothing aboard is called" in found("")
    plain = picture.client.get("/boats/sloop/find", params={"q": "cable 15"})
    assert plain.headers["location"] == "/boats/sloop?selected=panel-feed"


def test_what_is_found_while_a_cable_is_put_in_is_where_it_goes(picture: Picture) -> None:
    waiting = picture.card("house-bus.stud-1", "wire")
    carried = form_fields(waiting)

    def found(q: str) -> str:
        answer = picture.client.get("/boats/sloop/find", params={"q": q, **carried}, headers=HTMX)
        assert answer.headers["HX-Retarget"] == "#thing"
        return answer.text

    one = found("autopilot")
    several = found("fuse")
    link = html.unescape(re.findall(r'id="found-[^"]*" href="([^"]*)"', several)[0])
    chosen = picture.client.get(link, headers=HTMX).text

    assert carried == {"wires_from": "house-bus.stud-1"}
    assert form_with(one, "doing-go").fields["head"] == "Autopilot: supply"
    assert form_with(one, "doing-go").fields["tail"] == "House positive bus: stud 1"
    assert 'data-wires-from="house-bus.stud-1"' in several
    assert 'data-wires-from="house-bus.stud-1"' in found("gyroscope")
    assert "fuse" in form_with(chosen, "doing-go").fields["head"].casefold()


def form_fields(card: str) -> dict[str, str]:
    """What a card adds to the form that finds things."""
    return dict(re.findall(r'name="([^"]*)" value="([^"]*)" form="find-form"', card))


def test_a_panel_is_folded_and_opened_by_its_address(picture: Picture) -> None:
    def members(panels: str) -> int:
        page = picture.client.get("/boats/sloop", params={"panels": panels}).text
        return page.count("data-members=")

    assert members("") == members("panel") == 0
    assert members("-panel") == 1
    assert members("-panel.-always-live.nonsense!.") >= 1
    assert "Its loads one by one" in picture.card("panel", panels="-panel")
    assert "Its loads in one row" in picture.card("panel")


def test_the_card_works_without_script(picture: Picture) -> None:
    client = picture.client
    page = client.get("/boats/sloop/here", params={"selected": "panel-feed", "do": "put", "what": "fuse"})
    assert page.status_code == 200
    form = form_with(page.text, "doing-go")
    wrong = client.post(form.action, data=form.fields | {"rating_a": ""})
    assert wrong.status_code == 422
    assert "<html" in wrong.text
    done = client.post(form.action, data=form.fields | {"rating_a": "40"})

    assert done.status_code == 303
    assert "selected=fuse-" in done.headers["location"]


@pytest.mark.parametrize(
    ("do", "fields"),
    [
        ("put", {"at": "ghost"}),
        ("bank", {"at": "panel"}),
        ("ways", {"part": "house-bus"}),
        ("row", {"part": "panel", "way": "up"}),
        ("row", {"part": "ghost", "way": "down"}),
        ("put", {"at": "panel-feed", "what": "post", "name": "x" * 400}),
    ],
)
def test_what_makes_no_sense_here_is_refused_in_words(
    picture: Picture, do: str, fields: dict[str, str]
) -> None:
    stamp = {"revision": "1", "request_id": "0123456789abcdef", "selected": "panel"}
    answer = picture.client.post(f"/boats/sloop/here/{do}", data=stamp | fields, headers=HTMX)

    assert answer.status_code == 422
    assert picture.client.get("/boats/sloop/here", params={"selected": "ghost"}).status_code == 404


def test_a_turned_screen_brings_the_picture_alone_and_says_on_which_side_the_touched_thing_lies(
    picture: Picture,
) -> None:
    client = picture.client
    client.cookies.set("shape", "portrait")
    client.cookies.set("side", "negative")

    def turned(selected: str) -> str:
        return client.get("/boats/sloop/shape", params={"selected": selected}, headers=HTMX).text

    fed = turned("panel-feed")
    assert 'id="findings"' not in fed
    assert 'data-calls="positive"' in element(fed, "diagram-place")
    assert 'data-calls="negative"' in element(turned("negative-bus"), "diagram-place")
    assert "data-calls" not in turned("")
    assert 'id="selected-strip"' in turned("autopilot")
    assert "data-calls" not in turned("autopilot")
    mended = client.get("/boats/sloop?selected=autopilot").text
    form = tap_forms(_pick_up(client, "autopilot", "negative"))[0]
    moved = client.post(form.action, data=form.fields, headers=HTMX).text

    assert 'data-calls="negative"' in element(moved, "diagram-place")
    assert "data-calls" not in element(mended, "diagram-place")
    assert client.get("/boats/sloop/shape").status_code == 303


def _pick_up(client: TestClient, part: str, terminal: str) -> str:
    return client.get("/boats/sloop/pick-up", params={"part": part, "terminal": terminal}, headers=HTMX).text


def test_four_pages_stand_in_the_head_and_the_rest_unfold_under_more(picture: Picture) -> None:
    head = element(picture.client.get("/boats/sloop").text, "head")
    more = element(head, "more-places")
    elsewhere = element(picture.client.get("/boats/sloop/plan").text, "more-places")

    assert head.replace(more, "").count('id="place-') == 4
    assert words(more).startswith("More")
    assert 'id="place-plan"' in more
    assert words(elsewhere).startswith("Plan")
