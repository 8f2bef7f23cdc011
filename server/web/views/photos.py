"""The photos of a boat: all of them, and one with its pins."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from server.actions.boats import fresh_request_id
from server.actions.photos import (
    conductors_by_words,
    missing,
    next_number,
    photo_of,
    size_px,
    subjects_by_words,
)
from server.actions.terminal_choice import NEXT_FREE, terminals_by_words
from server.actions.yard import OpenBoat, Yard
from server.boat.boat import Boat
from server.boat.photos import Photo, Pin
from server.web.views.controls import HeadView, head_view
from server.web.views.fitting_fields import AskedView, Errors
from server.web.views.forms import FormView

SUBJECTS, PLACES = "photo-subjects", "photo-places"
"""The lists that fields offer."""
NEW = "new"
"""What stands for the number of a pin that is still to be put."""
PERCENT = 100
HIT = 0.036
DISC = 0.020
"""Radii of a pin's touch area and of its disc, as shares of the photo's longest side."""


@dataclass(frozen=True)
class ThumbView:
    """One photo among the others."""

    id: str
    url: str
    picture_url: str
    title: str
    shows: str
    details: str
    missing: bool


@dataclass(frozen=True)
class PhotosView:
    """``photos/page.html`` and ``photos/_all.html``."""

    title: str
    head: HeadView
    told: str
    form: FormView
    fields: tuple[AskedView, ...]
    file_error: str
    outbox: str
    subjects: tuple[str, ...]
    photos: tuple[ThumbView, ...]
    of: str
    all_url: str
    count: str
    missing: str
    save_url: str
    undo: FormView
    undo_words: str


@dataclass(frozen=True)
class PinView:
    """One pin on the photo and its row below."""

    id: str
    number: str
    x: float
    y: float
    is_new: bool
    shows: str
    form: FormView
    fields: tuple[AskedView, ...]
    off: FormView
    conductor: FormView
    can_conduct: bool


@dataclass(frozen=True)
class PhotoView:
    """``photos/one.html`` and ``photos/_photo.html``."""

    title: str
    head: HeadView
    told: str
    name: str
    shows: str
    all_url: str
    picture_url: str
    width: int
    height: int
    hit: float
    disc: float
    text: float
    missing: bool
    pins: tuple[PinView, ...]
    new: PinView
    places: tuple[str, ...]
    about: FormView
    fields: tuple[AskedView, ...]
    subjects: tuple[str, ...]
    remove: FormView
    undo: FormView
    undo_words: str


def photos_view(  # noqa: PLR0913 - each names one thing of the page
    yard: Yard,
    opened: OpenBoat,
    of: str = "",
    *,
    typed: Mapping[str, str] | None = None,
    errors: Errors | None = None,
    told: str = "",
) -> PhotosView:
    """All photos, or those of one part or conductor; with what was typed and refused."""
    boat, path = opened.boat, f"/boats/{opened.id}/photos"
    words = words_by_subject(boat)
    gone = missing(yard, boat)
    shown = [photo for photo in boat.photos if of in ("", photo.subject)]
    about, wrong = {"subject": words.get(of, ""), **(typed or {})}, errors or {}
    return PhotosView(
        title=f"Photos of {opened.row.name}",
        head=head_view(opened, "photos"),
        told=told,
        form=FormView(path, (("request_id", fresh_request_id()), ("of", of))),
        fields=tuple(_about(about, wrong)),
        file_error=wrong.get("file", ""),
        outbox=opened.id,
        subjects=tuple(words.values()),
        photos=tuple(_thumb(opened.id, photo, words, photo.sha in gone) for photo in shown),
        of=words.get(of, ""),
        all_url=path if of else "",
        count=counted(len(shown), "photo"),
        missing=_missing_words(len(gone)),
        save_url=f"/boats/{opened.id}/export-photos" if boat.photos else "",
        undo=_form(opened, "undo", of=of),
        undo_words=opened.undo.label if opened.undo else "",
    )


def photo_view(  # noqa: PLR0913 - each names one thing of the page
    yard: Yard,
    opened: OpenBoat,
    name: str,
    *,
    typed: Mapping[str, str] | None = None,
    errors: Errors | None = None,
    told: str = "",
) -> PhotoView:
    """One photo with its pins; ``typed`` is what was refused, its ``number`` says of which pin.

    Raises:
        EditError: the boat has no such photo.
    """
    boat, photo = opened.boat, photo_of(opened.boat, name)
    words, places = words_by_subject(boat), words_by_place(boat)
    typed, errors = typed or {}, errors or {}
    size = size_px(yard, photo)
    width, height = size or (4, 3)

    def pin(one: Pin | None) -> PinView:
        return _pin(opened, photo, one, (width, height), places, typed, errors)

    described = {} if "number" in typed else typed
    said = {"subject": words.get(photo.subject or "", ""), "caption": photo.caption, "taken": photo.taken}
    return PhotoView(
        title=f"{_title(photo)}, {opened.row.name}",
        head=head_view(opened, "photos"),
        told=told,
        name=_title(photo),
        shows=_shows(photo, words),
        all_url=f"/boats/{opened.id}/photos",
        picture_url=_picture(opened.id, photo.sha),
        width=width,
        height=height,
        hit=HIT * max(width, height),
        disc=DISC * max(width, height),
        text=DISC * max(width, height) * 1.1,
        missing=size is None,
        pins=tuple(pin(one) for one in photo.pins),
        new=pin(None),
        places=tuple(places.values()),
        about=_form(opened, f"{photo.id}/about"),
        fields=tuple(_about({**{key: text or "" for key, text in said.items()}, **described}, errors)),
        subjects=tuple(words.values()),
        remove=_form(opened, f"{photo.id}/remove"),
        undo=_form(opened, "undo", photo=photo.id),
        undo_words=opened.undo.label if opened.undo else "",
    )


def counted(count: int, noun: str) -> str:
    """A count with its noun: “1 pin”, “2 pins”."""
    return f"{count} {noun}" + ("" if count == 1 else "s")


def words_by_subject(boat: Boat) -> dict[str, str]:
    """What a photo may show, by id."""
    return {name: words for words, name in subjects_by_words(boat).items()}


def words_by_place(boat: Boat) -> dict[object, str]:
    """What a pin may show: terminals and conductors by their words."""
    places: dict[object, str] = {
        at: words for words, at in terminals_by_words(boat).items() if not words.endswith(NEXT_FREE)
    }
    return places | {name: words for words, name in conductors_by_words(boat).items()}


def _form(opened: OpenBoat, below: str, **more: str) -> FormView:
    stamp = (("revision", str(opened.rev)), ("request_id", fresh_request_id()))
    return FormView(f"/boats/{opened.id}/photos/{below}", (*stamp, *more.items()))


def _picture(boat_id: str, sha: str) -> str:
    return f"/boats/{boat_id}/photo-files/{sha}"


def _title(photo: Photo) -> str:
    return photo.caption or "Photo"


def _shows(photo: Photo, words: Mapping[str, str]) -> str:
    return words[photo.subject] if photo.subject else "The boat; no part or cable named"


def _missing_words(count: int) -> str:
    if not count:
        return ""
    are = "is" if count == 1 else "are"
    return (
        f"{counted(count, 'photo')} of this boat {are} not on this machine. "
        "A boat file without photos names them only: take in the file with photos to see them."
    )


def _thumb(boat_id: str, photo: Photo, words: Mapping[str, str], is_missing: bool) -> ThumbView:
    details = [photo.taken or "", counted(len(photo.pins), "pin") if photo.pins else ""]
    return ThumbView(
        id=photo.id,
        url=f"/boats/{boat_id}/photos/{photo.id}",
        picture_url=f"{_picture(boat_id, photo.sha)}?small=yes",
        title=_title(photo),
        shows=_shows(photo, words),
        details=", ".join(one for one in details if one),
        missing=is_missing,
    )


def _about(typed: Mapping[str, str], errors: Errors) -> Iterator[AskedView]:
    asked = (
        ("subject", "What it shows", "text", SUBJECTS),
        ("caption", "In words", "text", ""),
        ("taken", "Taken on", "day", ""),
    )
    for name, label, kind, offers in asked:
        value, error = typed.get(name, ""), errors.get(name, "")
        yield AskedView(f"photo-{name}", name, label, kind, value, "", error, offers=offers)


def _pin(  # noqa: PLR0913, PLR0917 - each names one thing the row rests on
    opened: OpenBoat,
    photo: Photo,
    pin: Pin | None,
    size: tuple[int, int],
    places: Mapping[object, str],
    typed: Mapping[str, str],
    errors: Errors,
) -> PinView:
    key = NEW if pin is None else str(pin.number)
    number = str(next_number(photo) if pin is None else pin.number)
    refused = typed.get("number") == key
    shows = "" if pin is None else places.get(pin.terminal, places.get(pin.conductor, ""))
    said = {
        "what": shows,
        "tag": "" if pin is None else pin.tag or "",
        "x": "" if pin is None else f"{pin.x * PERCENT:.1f}",
        "y": "" if pin is None else f"{pin.y * PERCENT:.1f}",
        **(typed if refused else {}),
    }
    below = f"{photo.id}/pin"
    return PinView(
        id=f"pin-{key}",
        number=number,
        x=0.0 if pin is None else pin.x * size[0],
        y=0.0 if pin is None else pin.y * size[1],
        is_new=pin is None,
        shows="" if pin is None else shows or pin.tag or "not tied to anything yet",
        form=_form(opened, below, number=key),
        fields=tuple(_pin_fields(key, said, errors if refused else {})),
        off=_form(opened, f"{photo.id}/pin-off", number=key),
        conductor=_form(opened, f"{photo.id}/conductor", number=key),
        can_conduct=pin is not None and pin.conductor is None,
    )


def _pin_fields(key: str, typed: Mapping[str, str], errors: Errors) -> Iterator[AskedView]:
    asked = (
        ("what", "Terminal or cable", "", PLACES),
        ("tag", "Read or seen", "", ""),
        ("x", "From the left", "%", ""),
        ("y", "From the top", "%", ""),
    )
    for name, label, unit, offers in asked:
        error = errors.get(name, "")
        yield AskedView(f"pin-{key}-{name}", name, label, "text", typed[name], unit, error, offers=offers)
