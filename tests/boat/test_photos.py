"""Photos in the document: what they show, the pins on them, and what stays when a part goes."""

import json

import pytest

from server.boat.caps import MOST_PHOTOS, broken_caps
from server.boat.constructors import at
from server.boat.document import DocumentError, boat_bytes, read_boat
from server.boat.edits import (
    AddPhoto,
    AnyEdit,
    ChangeValue,
    EditError,
    RemoveConductor,
    RemovePart,
    RemovePhoto,
    RemovePin,
    Rename,
    SetPin,
    apply,
    label,
    read_edit,
)
from server.boat.photos import MOST_PINS, Photo, Pin
from server.boat.references import broken_references
from tests.boat.small_boat import BOAT

SHA = "ab" * 32
BUS = Photo(id="photo-1", sha=SHA, subject="bus", caption="Bus from the left", taken="2031-05-17")
WITH_PHOTO = apply(BOAT, AddPhoto(photo=BUS))
STUD = Pin(number=1, x=0.25, y=0.5, terminal=at("bus.stud-1"))
LEAD = Pin(number=2, x=0.75, y=0.5, conductor="bus-block", tag="blue 16 mm², to ?")


def pinned(*pins: Pin) -> AnyEdit:
    """Several pins put on the photo, as one edit."""
    return read_edit(
        json.dumps(
            {
                "kind": "several",
                "label": "Pins",
                "edits": [
                    {"kind": "set-pin", "photo": "photo-1", "pin": pin.model_dump(exclude_none=True)}
                    for pin in pins
                ],
            }
        )
    )


def test_a_photo_stands_in_the_document_and_comes_back() -> None:
    body = boat_bytes(WITH_PHOTO)

    assert json.loads(body)["photos"][0]["caption"] == "Bus from the left"
    assert read_boat(body) == WITH_PHOTO
    assert b'"photos"' not in boat_bytes(BOAT)
    assert boat_bytes(apply(WITH_PHOTO, RemovePhoto(id="photo-1"))) == boat_bytes(BOAT)


def test_pins_stand_in_the_order_of_their_numbers_and_one_of_the_same_number_is_replaced() -> None:
    boat = apply(WITH_PHOTO, pinned(LEAD, STUD, LEAD.model_copy(update={"x": 0.5})))

    assert [(pin.number, pin.x) for pin in boat.photos[0].pins] == [(1, 0.25), (2, 0.5)]
    assert [pin.number for pin in apply(boat, RemovePin(photo="photo-1", number=1)).photos[0].pins] == [2]
    with pytest.raises(EditError, match="no pin 3"):
        apply(boat, RemovePin(photo="photo-1", number=3))


def test_a_photo_holds_only_so_many_pins() -> None:
    full = apply(WITH_PHOTO, pinned(*(Pin(number=n, x=0, y=0) for n in range(1, MOST_PINS + 1))))

    assert len(full.photos[0].pins) == MOST_PINS
    assert apply(full, SetPin(photo="photo-1", pin=STUD)).photos[0].pins[0] == STUD
    with pytest.raises(EditError, match="at most"):
        apply(full, SetPin(photo="photo-1", pin=Pin(number=900, x=0, y=0)))


def test_a_photo_stays_without_the_part_and_the_pins_without_what_they_named() -> None:
    boat = apply(WITH_PHOTO, pinned(STUD, LEAD))
    without_part = apply(boat, RemovePart(id="bus"))
    without_lead = apply(boat, RemoveConductor(id="bus-block"))

    assert without_part.photos[0].subject is None
    assert without_part.photos[0].pins == (STUD.model_copy(update={"terminal": None}), LEAD)
    assert without_lead.photos[0].pins[1] == LEAD.model_copy(update={"conductor": None})
    assert broken_references(without_part) == broken_references(without_lead) == ()
    assert apply(boat, RemovePart(id="plotter")).photos is boat.photos


@pytest.mark.parametrize(
    ("edit", "field"),
    [
        (AddPhoto(photo=BUS), "photo.id"),
        (AddPhoto(photo=Photo(id="photo-2", sha=SHA, subject="sailing")), "photo.subject"),
        (SetPin(photo="photo-9", pin=STUD), "photo"),
        (SetPin(photo="photo-1", pin=Pin(number=1, x=0, y=0, terminal=at("bus.stud-9"))), "pins[0].terminal"),
        (SetPin(photo="photo-1", pin=Pin(number=1, x=0, y=0, conductor="bus")), "pins[0].conductor"),
        (RemovePhoto(id="bus"), "id"),
        (ChangeValue(id="photo-1", field="taken", value="yesterday"), "taken"),
        (ChangeValue(id="photo-1", field="sha", value="short"), "sha"),
    ],
)
def test_what_does_not_fit_is_refused_with_its_place(edit: AnyEdit, field: str) -> None:
    with pytest.raises(EditError) as refused:
        apply(WITH_PHOTO, edit)

    assert field in refused.value.field
    assert refused.value.mend


def test_two_pins_of_one_number_are_refused_in_a_file() -> None:
    tree = json.loads(boat_bytes(apply(WITH_PHOTO, pinned(STUD))))
    tree["photos"][0]["pins"] *= 2

    with pytest.raises(DocumentError, match=r"photos\[0\]\.pins\[1\]: pin 1 stands here twice"):
        read_boat(json.dumps(tree).encode())


def test_a_boat_has_only_so_many_photos() -> None:
    many = tuple(BUS.model_copy(update={"id": f"photo-{n}"}) for n in range(MOST_PHOTOS + 1))
    boat = BOAT.model_copy(update={"photos": many})

    assert [problem.path for problem in broken_caps(boat)] == ["photos"]


def test_edits_are_told_by_the_caption_or_by_what_is_shown() -> None:
    nameless = apply(BOAT, AddPhoto(photo=BUS.model_copy(update={"caption": None})))
    bare = apply(BOAT, AddPhoto(photo=Photo(id="photo-1", sha=SHA)))

    assert label(BOAT, AddPhoto(photo=BUS)) == "Added photo “Bus from the left”"
    assert label(nameless, RemovePhoto(id="photo-1")) == "Removed photo of main negative bus"
    assert label(bare, SetPin(photo="photo-1", pin=STUD)) == "photo: pin 1"
    assert label(WITH_PHOTO, RemovePin(photo="photo-1", number=2)) == (
        "photo “Bus from the left”: pin 2 taken off"
    )
    assert apply(nameless, Rename(id="photo-1", name="Left")).photos[0].caption == "Left"
