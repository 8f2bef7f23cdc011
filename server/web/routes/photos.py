"""Photos of a boat: put on, described, pinned, taken off, and given out with the boat's file."""

import re
from dataclasses import replace
from datetime import date
from typing import Annotated
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Path, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.responses import JSONResponse, RedirectResponse, Response

from server.actions import changes, photos, photos_files
from server.actions.boats import fresh_request_id
from server.actions.changes import Change
from server.actions.photos import Described
from server.actions.photos_intake import MEDIA_TYPE
from server.actions.troubles import DocumentError, EditError, NoPhotoError
from server.actions.yard import open_boat
from server.boat.boat import Boat
from server.boat.edits import AnyEdit, RemovePhoto, RemovePin, SetPin
from server.boat.photos import Pin
from server.boat.value import TerminalRef
from server.web.changing import conflict_or
from server.web.dependencies import BoatId, Fields, Stamp, Yard, is_whole_number
from server.web.forms import Wrong, number
from server.web.render import fragments, page
from server.web.routes.boats import list_page
from server.web.views.boats import ProblemView
from server.web.views.photos import (
    NEW,
    PERCENT,
    PhotoView,
    photo_view,
    photos_view,
    words_by_place,
    words_by_subject,
)

router = APIRouter()

PhotoId = Annotated[str, Path(pattern=r"^[a-z][a-z0-9-]{0,31}$")]
Sha = Annotated[str, Path(pattern=r"^[0-9a-f]{64}$")]
LONGEST_WORDS = 120
# The address names the hash of what is shown, so that it may be kept for good, but only by this browser.
KEPT = {"Cache-Control": "private, max-age=31536000, immutable"}
_REQUEST_ID = re.compile(r"^[A-Za-z0-9-]{8,64}$")


@router.get("/boats/{boat_id}/photos")
def all_photos(request: Request, boat_id: BoatId, yard: Yard, of: str = "") -> Response:
    """Every photo, or those of one part or conductor, and the form to put another on."""
    return page(request, "photos/page", photos_view(yard, open_boat(yard, boat_id), of))


@router.post("/boats/{boat_id}/photos")
async def put_on(request: Request, boat_id: BoatId, yard: Yard) -> Response:
    """Put a photo on; what waited on a tablet asks for JSON and is told when it is safe here."""
    async with request.form(max_files=2, max_fields=10) as form:
        typed = {name: value[:500] for name, value in form.items() if isinstance(value, str)}
        bodies = [await one.read() for one in form.getlist("file") if isinstance(one, UploadFile)]
    return await run_in_threadpool(_put_on, request, boat_id, yard, typed, next(filter(None, bodies), b""))


def _put_on(request: Request, boat_id: str, yard: Yard, typed: dict[str, str], body: bytes) -> Response:
    opened = open_boat(yard, boat_id)
    said, errors = _described(opened.boat, typed)
    request_id = typed.get("request_id", "")
    if not body:
        errors["file"] = "Take a photo or choose one first."
    if not _REQUEST_ID.match(request_id):
        errors["file"] = "The form is not complete. Load the page again, then choose the photo there."
    of = typed.get("of", "")
    is_waiting = request.headers.get("accept", "") == "application/json"
    if is_waiting and errors.pop("subject", ""):
        # Nobody is there to choose again, and what it showed may have been taken out meanwhile.
        words = [text for text in (typed["subject"].strip(), said.caption) if text]
        said = replace(said, caption=", ".join(words)[:LONGEST_WORDS])
    if not errors:
        try:
            _, photo = photos.put_on(yard, boat_id, body, said, request_id)
        except (NoPhotoError, EditError) as error:
            errors["file"] = str(error)
        else:
            if is_waiting:
                return JSONResponse({"photo": photo}, 201)
            return RedirectResponse(f"/boats/{boat_id}/photos/{photo}", status_code=303)
    if is_waiting:
        return JSONResponse({"message": " ".join(errors.values())}, 422)
    view = photos_view(yard, opened, of, typed=typed, errors=errors)
    return page(request, "photos/page", view, status=422)


@router.get("/boats/{boat_id}/photos/{photo}")
def one_photo(request: Request, boat_id: BoatId, photo: PhotoId, yard: Yard) -> Response:
    """One photo with its pins."""
    return page(request, "photos/one", photo_view(yard, open_boat(yard, boat_id), photo))


@router.get("/boats/{boat_id}/photo-files/{sha}")
def photo_file(boat_id: BoatId, sha: Sha, yard: Yard, small: str = "") -> Response:
    """A photo's bytes, or those of its small form."""
    body = photos.photo_bytes(yard, boat_id, sha, small=small == "yes")
    return Response(body, media_type=MEDIA_TYPE, headers=KEPT)


@router.post("/boats/{boat_id}/photos/undo")
def undo(request: Request, boat_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Take the last change back and stay with the photo, where it is still there."""

    def make(stamp: Stamp) -> Change:
        return changes.take_back(yard, boat_id, stamp.revision, "undo", stamp.request_id)

    def after(change: Change) -> Response:
        photo = fields.get("photo", "")
        if photo in {one.id for one in change.after.boat.photos}:
            return _shown(request, photo_view(yard, change.after, photo, told="Taken back."), photo)
        view = photos_view(yard, change.after, fields.get("of", ""), told="Taken back.")
        if photo:
            return _elsewhere(request, f"/boats/{boat_id}/photos")
        return fragments(request, ("photos/all", view), page_url=_all_url(boat_id, fields.get("of", "")))

    return conflict_or(request, boat_id, fields, make, after)


@router.post("/boats/{boat_id}/photos/{photo}/about")
def say(request: Request, boat_id: BoatId, photo: PhotoId, yard: Yard, fields: Fields) -> Response:
    """What a photo shows, said anew."""
    opened = open_boat(yard, boat_id)
    said, errors = _described(opened.boat, fields)
    if errors:
        typed = {key: fields.get(key, "") for key in ("subject", "caption", "taken")}
        return _refused(request, photo_view(yard, opened, photo, typed=typed, errors=errors))
    return _changed(request, yard, boat_id, photo, fields, photos.describe(opened.boat, photo, said), "Kept.")


@router.post("/boats/{boat_id}/photos/{photo}/pin")
def pin(request: Request, boat_id: BoatId, photo: PhotoId, yard: Yard, fields: Fields) -> Response:
    """Put a pin on, or change one."""
    opened = open_boat(yard, boat_id)
    shown, key = photos.photo_of(opened.boat, photo), fields.get("number", "")
    old = None if key == NEW else photos.pin_of(shown, _number(key))
    read, errors = _pin(opened.boat, fields, photos.next_number(shown) if old is None else old.number)
    if read is None:
        return _refused(request, photo_view(yard, opened, photo, typed=fields, errors=errors))
    told = f"Pin {read.number} is on." if old is None else f"Pin {read.number} is changed."
    return _changed(request, yard, boat_id, photo, fields, SetPin(photo=photo, pin=read), told)


@router.post("/boats/{boat_id}/photos/{photo}/pin-off")
def pin_off(request: Request, boat_id: BoatId, photo: PhotoId, yard: Yard, fields: Fields) -> Response:
    """Take a pin off."""
    taken = _number(fields.get("number", ""))
    edit = RemovePin(photo=photo, number=max(taken, 1))
    return _changed(request, yard, boat_id, photo, fields, edit, f"Pin {taken} is off.")


@router.post("/boats/{boat_id}/photos/{photo}/conductor")
def conductor(request: Request, boat_id: BoatId, photo: PhotoId, yard: Yard, fields: Fields) -> Response:
    """Make a loose conductor of a pin."""
    boat = open_boat(yard, boat_id).boat
    edit = photos.conductor_of_pin(boat, photo, _number(fields.get("number", "")))
    told = "A conductor with a loose end stands in the lists now."
    return _changed(request, yard, boat_id, photo, fields, edit, told)


@router.post("/boats/{boat_id}/photos/{photo}/remove")
def remove(request: Request, boat_id: BoatId, photo: PhotoId, yard: Yard, fields: Fields) -> Response:
    """Take a photo off; it stays in the boat's history."""

    def make(stamp: Stamp) -> Change:
        return changes.apply_edit(yard, boat_id, stamp.revision, RemovePhoto(id=photo), stamp.request_id)

    return conflict_or(
        request, boat_id, fields, make, lambda _: RedirectResponse(f"/boats/{boat_id}/photos", 303)
    )


@router.get("/boats/{boat_id}/export-photos")
def export(boat_id: BoatId, yard: Yard) -> Response:
    """The boat's file with its photos."""
    name, body = photos_files.with_photos(yard, boat_id)
    headers = {"Content-Disposition": f"attachment; filename*=UTF-8''{quote(name)}"}
    return Response(body, media_type="application/zip", headers=headers)


@router.post("/boats/import-photos")
async def take_in(request: Request, yard: Yard) -> Response:
    """Keep a boat and its photos from a file; a file that is none is answered with each problem."""
    async with request.form(max_files=1, max_fields=10) as form:
        upload = form.get("file")
        if not isinstance(upload, UploadFile) or not upload.filename:
            problem = ProblemView(
                "file", "No file was chosen.", "Choose a boat file with photos, then send it."
            )
            return list_page(request, yard, problems=(problem,), status=422)
        body, name = await upload.read(), upload.filename[:LONGEST_WORDS]
        request_id = str(form.get("request_id") or fresh_request_id())[:64]
    try:
        taken = await run_in_threadpool(photos_files.take_in_with_photos, yard, body, request_id)
    except DocumentError as error:
        problems = tuple(ProblemView(one.path, one.message, one.mend) for one in error.problems[:10])
        return list_page(request, yard, problems=problems, file_name=name, status=422)
    return RedirectResponse(f"/boats/{taken.row.id}", status_code=303)


def _changed(  # noqa: PLR0913, PLR0917 - each names one thing of the change
    request: Request, yard: Yard, boat_id: str, photo: str, fields: Fields, edit: AnyEdit, told: str
) -> Response:
    def make(stamp: Stamp) -> Change:
        return changes.apply_edit(yard, boat_id, stamp.revision, edit, stamp.request_id)

    def after(change: Change) -> Response:
        return _shown(request, photo_view(yard, change.after, photo, told=told), photo)

    return conflict_or(request, boat_id, fields, make, after)


def _shown(request: Request, view: PhotoView, photo: str) -> Response:
    return fragments(request, ("photos/photo", view), page_url=f"{view.all_url}/{photo}")


def _refused(request: Request, view: PhotoView) -> Response:
    answer = fragments(
        request, ("photos/photo", view), page_url="", status=422, whole=lambda: ("photos/one", view)
    )
    answer.headers.update({"HX-Retarget": "#photo", "HX-Reswap": "outerHTML"})
    return answer


def _elsewhere(request: Request, url: str) -> Response:
    """Another page: htmx is told to go there, a browser is sent."""
    answer = RedirectResponse(url, 303)
    if request.headers.get("HX-Request") == "true":
        return Response(status_code=204, headers={"HX-Redirect": url})
    return answer


def _all_url(boat_id: str, of: str) -> str:
    return f"/boats/{boat_id}/photos" + (f"?{urlencode({'of': of})}" if of else "")


def _number(text: str) -> int:
    return int(text) if is_whole_number(text) else 0


def _described(boat: Boat, typed: dict[str, str]) -> tuple[Described, dict[str, str]]:
    errors: dict[str, str] = {}
    caption = typed.get("caption", "").strip()
    if len(caption) > LONGEST_WORDS or (caption and not caption.isprintable()):
        errors["caption"] = f"Enter {LONGEST_WORDS} characters at most, on one line."
    day = typed.get("taken", "").strip()
    try:
        taken = date.fromisoformat(day).isoformat() if day else None
    except ValueError:
        taken, errors["taken"] = None, "Enter a day, for example 2031-05-17."
    subject, wrong = _chosen(typed.get("subject", ""), words_by_subject(boat))
    if wrong:
        errors["subject"] = "Choose a part or cable of the list, or leave it empty."
    return Described(subject=str(subject) if subject else None, caption=caption or None, taken=taken), errors


def _pin(boat: Boat, typed: dict[str, str], numbered: int) -> tuple[Pin | None, dict[str, str]]:
    errors: dict[str, str] = {}
    shares: list[float] = []
    for key in ("x", "y"):
        share = number(typed.get(key, ""), "%", "50", at_most=PERCENT, above=-PERCENT)
        if isinstance(share, Wrong):
            errors[key] = share.message
        else:
            shares.append(max(share, 0.0) / PERCENT)
    at, wrong = _chosen(typed.get("what", ""), words_by_place(boat))
    if wrong:
        errors["what"] = "Choose a terminal or cable of the list. What else it is goes into the next field."
    tag = typed.get("tag", "").strip()
    if len(tag) > LONGEST_WORDS or (tag and not tag.isprintable()):
        errors["tag"] = f"Enter {LONGEST_WORDS} characters at most, on one line."
    if errors:
        return None, errors
    terminal = at if isinstance(at, TerminalRef) else None
    lead = at if isinstance(at, str) else None
    made = Pin(number=numbered, x=shares[0], y=shares[1], terminal=terminal, conductor=lead, tag=tag or None)
    return made, errors


def _chosen(text: str, words: dict[str, str] | dict[object, str]) -> tuple[object, bool]:
    """What was chosen by its words, None where nothing was; and whether the words are unknown."""
    plain = text.strip().casefold()
    found = next((at for at, said in words.items() if said.casefold() == plain), None)
    return found, bool(plain) and found is None
