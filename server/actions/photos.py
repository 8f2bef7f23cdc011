"""Photos on a boat: put on, described, pinned, given out; and conductors made of what a pin shows."""

import hashlib
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from server.actions.changes import Change, apply_on_head
from server.actions.fitting import CableAnswers, cable_edit
from server.actions.lists import cable_rows
from server.actions.photos_intake import NoPhotoError, Taken, taken
from server.actions.survey_sizes import printed_size
from server.actions.yard import Yard, open_boat
from server.boat.boat import Boat
from server.boat.edit_error import EditError
from server.boat.edits import AddConductor, AddPhoto, AnyEdit, ChangeValue, SetPin, Several
from server.boat.listed import find
from server.boat.photos import Photo, Pin
from server.practice.sizes import UnknownSizeError
from server.store.errors import UnknownPhotoError

LONGEST_NAME = 120
MOST_BOAT_BYTES = 100_000_000
"""All photos of a boat: they have to go into one file that can be taken in again."""
_PRINTED = re.compile(r"\d+(?:[.,]\d+)?\s*mm\s*[²2]|(?:\d/0|\d{1,2})\s*AWG", re.IGNORECASE)
"""A size as it is printed on a cable, somewhere among other words."""


@dataclass(frozen=True)
class Described:
    """What a person says of a photo; None where nothing is said."""

    subject: str | None = None
    caption: str | None = None
    taken: str | None = None


def put_on(yard: Yard, boat_id: str, body: bytes, said: Described, request_id: str) -> tuple[Change, str]:
    """Put a photo on a boat as it stands now, and answer its id; sent again, it is put on once.

    A photo overwrites nothing, so it needs no revision that it was taken on: it may have waited on a tablet.

    Raises:
        NoPhotoError: the file is no photo that can be kept, or the boat's photos are too large in all.
        EditError: the boat has no such subject, or too many photos.
        UnknownBoatError, RequestReusedError: there is no such boat; the key was used for something else.
    """
    kept = taken(body)
    photo = Photo(
        id=f"photo-{hashlib.sha256(request_id.encode()).hexdigest()[:12]}", sha=kept.sha, **vars(said)
    )
    opened = open_boat(yard, boat_id)
    if photo.id in {one.id for one in opened.boat.photos}:
        return Change(opened.boat, opened.sha, opened, ""), photo.id
    _require_room(yard, opened.boat, kept)
    keep(yard, kept)
    change = apply_on_head(yard, boat_id, AddPhoto(photo=photo), request_id)
    yard.store.mark_photos_used(frozenset({photo.sha}))
    return change, photo.id


def _require_room(yard: Yard, boat: Boat, more: Taken) -> None:
    size = yard.store.photos_size(frozenset(photo.sha for photo in boat.photos))
    if size + len(more.picture) > MOST_BOAT_BYTES:
        most = f"{MOST_BOAT_BYTES / 1e6:g} MB"
        raise NoPhotoError(f"The photos of a boat may have {most} in all. Take some off, or split the boat.")


def keep(yard: Yard, photo: Taken) -> None:
    """Keep a photo's bytes beside the boats."""
    yard.store.put_photo(photo.picture, photo.small, (photo.width_px, photo.height_px))


def photo_of(boat: Boat, photo: str) -> Photo:
    """A photo of a boat.

    Raises:
        EditError: the boat has none of this id.
    """
    found: Photo = find(boat, photo, "photo", ("photos",)).item
    return found


def describe(boat: Boat, photo: str, said: Described) -> AnyEdit:
    """What a photo shows, said anew.

    Raises:
        EditError: the boat has no such photo.
    """
    called = said.caption or photo_of(boat, photo).caption
    changes = (ChangeValue(id=photo, field=field, value=value) for field, value in vars(said).items())
    label = f"Photo “{called[: LONGEST_NAME // 2]}” described" if called else "A photo described"
    return Several(edits=tuple(changes), label=label)


def next_number(photo: Photo) -> int:
    """The number of the next pin: no number is given twice while its pin is there."""
    return max((pin.number for pin in photo.pins), default=0) + 1


def pin_of(photo: Photo, number: int) -> Pin:
    """A pin of a photo.

    Raises:
        EditError: the photo has none of this number.
    """
    found = next((pin for pin in photo.pins if pin.number == number), None)
    if found is None:
        raise EditError("number", f"there is no pin {number} on this photo.", "It may have been removed.")
    return found


def conductor_of_pin(boat: Boat, photo: str, number: int) -> AnyEdit:
    """A conductor that begins at a pin's terminal, or loose, and ends loose; the pin then shows it.

    Raises:
        EditError: there is no such pin, or it shows a conductor already.
    """
    shown = photo_of(boat, photo)
    pin = pin_of(shown, number)
    if pin.conductor is not None:
        raise EditError(
            "number", f"pin {number} shows a conductor already.", "Find it in the list of cables."
        )
    seen = f"Pin {number} of {f'the photo “{shown.caption}”' if shown.caption else 'a photo'}"
    answers = CableAnswers(tail=pin.terminal, size=_size_read(pin.tag), note=seen)
    adding = cable_edit(answers).edits
    made = next(one.conductor for one in adding if isinstance(one, AddConductor))
    conductor = made.model_copy(update={"name": pin.tag or seen[:LONGEST_NAME], "trace": "seen"})
    tied = pin.model_copy(update={"conductor": conductor.id, "terminal": None})
    edits = (
        *(one for one in adding if not isinstance(one, AddConductor)),
        AddConductor(conductor=conductor),
        SetPin(photo=photo, pin=tied),
    )
    return Several(edits=edits, label=f"A loose conductor of pin {number}")


def _size_read(tag: str | None) -> str | None:
    """The size in what was read off a cable, where there is one that can be bought."""
    printed = _PRINTED.search(tag or "")
    if printed is None:
        return None
    try:
        return printed_size(printed[0]).label
    except UnknownSizeError:
        return None


def missing(yard: Yard, boat: Boat) -> frozenset[str]:
    """The hashes of the photos a boat refers to and that are not kept here."""
    named = frozenset(photo.sha for photo in boat.photos)
    return named - yard.store.photos_there(named) if named else named


def size_px(yard: Yard, photo: Photo) -> tuple[int, int] | None:
    """Width and height of a photo in pixels; None where it is not kept here."""
    try:
        row = yard.store.photo(photo.sha)
    except UnknownPhotoError:
        return None
    return row.width, row.height


def photo_bytes(yard: Yard, boat_id: str, sha: str, *, small: bool) -> bytes:
    """The bytes of a photo that a boat refers to: a boat's photos are for those who may see the boat.

    Raises:
        UnknownBoatError: there is no such boat.
        UnknownPhotoError: it does not refer to this photo, or the photo is not kept here.
    """
    if all(photo.sha != sha for photo in open_boat(yard, boat_id).boat.photos):
        raise UnknownPhotoError(f"{boat_id} refers to no photo {sha}")
    return yard.store.photo_bytes(sha, small=small)


def conductors_by_words(boat: Boat) -> Mapping[str, str]:
    """Every conductor's id by the words it is chosen by; those that read alike also say their ids."""
    rows = [
        (row.conductor, _conductor_words(row.number, row.name, row.core), row) for row in cable_rows(boat)
    ]
    said = [(one, f"{words}: {row.tail} – {row.head}") for one, words, row in rows]
    return dict(_told_apart(said))


def subjects_by_words(boat: Boat) -> Mapping[str, str]:
    """Every part and conductor a photo may show, by its words."""
    parts = _told_apart([(part.id, part.name) for part in boat.parts])
    return {**dict(parts), **conductors_by_words(boat)}


def _conductor_words(number: str, name: str, core: str) -> str:
    called = " ".join(word for word in (number and f"cable {number}", name, core) if word)
    return called[:1].upper() + called[1:] if called else "Cable"


def _told_apart(said: list[tuple[str, str]]) -> Iterator[tuple[str, str]]:
    times = Counter(text.casefold() for _, text in said)
    for name, text in said:
        yield (f"{text} ({name})" if times[text.casefold()] > 1 else text), name
