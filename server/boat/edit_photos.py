"""Edits of photos and of the pins on them."""

from server.boat.boat import Boat
from server.boat.edit_error import EditError
from server.boat.edit_values import AddPhoto, RemovePhoto, RemovePin, SetPin
from server.boat.forgetting import without
from server.boat.listed import find, with_added, with_changed
from server.boat.photos import MOST_PINS, Photo, Pin


def add_photo(boat: Boat, edit: AddPhoto) -> Boat:
    """Add a photo."""
    return with_added(boat, "photos", edit.photo, "photo.id")


def remove_photo(boat: Boat, edit: RemovePhoto) -> Boat:
    """Take a photo off the boat; its bytes stay, as earlier revisions refer to them."""
    return without(boat, [_photo(boat, edit.id, "id").id])


def set_pin(boat: Boat, edit: SetPin) -> Boat:
    """Put a pin on a photo; one of the same number is replaced."""
    photo = _photo(boat, edit.photo, "photo")
    others = [pin for pin in photo.pins if pin.number != edit.pin.number]
    if len(others) >= MOST_PINS:
        mend = "Take a pin off first, or take a closer photo."
        raise EditError("pin", f"a photo holds {MOST_PINS} pins at most.", mend)
    return _with(boat, photo, sorted((*others, edit.pin), key=lambda pin: pin.number))


def remove_pin(boat: Boat, edit: RemovePin) -> Boat:
    """Take a pin off a photo."""
    photo = _photo(boat, edit.photo, "photo")
    kept = [pin for pin in photo.pins if pin.number != edit.number]
    if len(kept) == len(photo.pins):
        raise EditError(
            "number", f"there is no pin {edit.number} on this photo.", "It may have been removed."
        )
    return _with(boat, photo, kept)


def _photo(boat: Boat, name: str, field: str) -> Photo:
    photo: Photo = find(boat, name, field, ("photos",)).item
    return photo


def _with(boat: Boat, photo: Photo, pins: list[Pin]) -> Boat:
    return with_changed(boat, "photos", photo.model_copy(update={"pins": tuple(pins)}))
