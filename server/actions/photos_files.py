"""A boat with its photos as one file, out and in: the document, and each photo under its hash."""

import zipfile
import zlib
from io import BytesIO

from server.actions import boats
from server.actions.photos import keep
from server.actions.photos_intake import NoPhotoError, Taken, own_form
from server.actions.yard import Yard, document
from server.boat.document import DocumentError, read_boat
from server.boat.references import Problem

DOCUMENT = "boat.json"
MOST_DOCUMENT_BYTES = 2_000_000
MOST_PHOTO_BYTES = 5_000_000
_PHOTO = "photos/{}.jpg"
_SAVED = (1980, 1, 1, 0, 0, 0)
"""The earliest day a zip file can state: the same boat gives the same bytes on every day."""
_BROKEN = (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, OSError, zlib.error)
"""What the library says of a file that is cut off, damaged, locked by a password or packed another way."""
_MEND = "Save the boat with its photos again, and choose that file."


def with_photos(yard: Yard, boat_id: str) -> tuple[str, bytes]:
    """A file name and a zip file: the document exactly as it is kept, and the photos it refers to.

    Raises:
        UnknownBoatError: there is no such boat.
    """
    name, body = boats.export(yard, boat_id)
    named = frozenset(photo.sha for photo in document(yard, yard.store.head(boat_id)).photos)
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as whole:
        whole.writestr(zipfile.ZipInfo(DOCUMENT, _SAVED), body, zipfile.ZIP_DEFLATED)
        for sha in sorted(yard.store.photos_there(named)):
            whole.writestr(zipfile.ZipInfo(_PHOTO.format(sha), _SAVED), yard.store.photo_bytes(sha))
    return name.replace(".boat.json", ".boat.zip"), out.getvalue()


def take_in_with_photos(yard: Yard, body: bytes, request_id: str) -> boats.Taken:
    """Keep a boat and its photos from a zip file; nothing is kept where anything in it is wrong.

    Raises:
        DocumentError: the file is no such zip file; every problem is placed and explained.
    """
    try:
        with zipfile.ZipFile(BytesIO(body)) as whole:
            found = _document(whole)
            named = frozenset(photo.sha for photo in read_boat(found).photos)
            photos = _photos(whole, named)
    except _BROKEN as error:
        raise _refused("file", "this is no zip file, or a damaged one.") from error
    for photo in photos:
        keep(yard, photo)
    taken = boats.take_in(yard, found, request_id)
    yard.store.mark_photos_used(named)
    return taken


def _document(whole: zipfile.ZipFile) -> bytes:
    if DOCUMENT not in whole.namelist():
        raise _refused("file", f"there is no {DOCUMENT} in this zip file.")
    return _read(whole, DOCUMENT, MOST_DOCUMENT_BYTES)


def _photos(whole: zipfile.ZipFile, named: frozenset[str]) -> list[Taken]:
    """The photos that the document names, as far as they are in the file."""
    inside = frozenset(whole.namelist())
    return [_photo(whole, name, sha) for sha in sorted(named) if (name := _PHOTO.format(sha)) in inside]


def _photo(whole: zipfile.ZipFile, name: str, sha: str) -> Taken:
    try:
        photo = own_form(_read(whole, name, MOST_PHOTO_BYTES))
    except NoPhotoError as error:
        raise DocumentError((Problem(name, str(error), _MEND),)) from error
    if photo.sha != sha:
        raise _refused(name, "this photo is not the one its name says.")
    return photo


def _read(whole: zipfile.ZipFile, name: str, most_bytes: int) -> bytes:
    """What a name holds; what a zip file says of the size is not believed."""
    with whole.open(name) as packed:
        body = packed.read(most_bytes + 1)
    if len(body) > most_bytes:
        raise _refused(name, f"this has more than {most_bytes:,} bytes.")
    return body


def _refused(path: str, message: str) -> DocumentError:
    return DocumentError((Problem(path, message, _MEND),))
