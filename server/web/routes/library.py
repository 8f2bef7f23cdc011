"""The yard's own parts: listed, renamed, removed, given out and taken in."""

from urllib.parse import quote

from fastapi import APIRouter, Request
from pydantic import TypeAdapter, ValidationError
from starlette.datastructures import UploadFile
from starlette.responses import RedirectResponse, Response

from server.actions import library, library_files
from server.actions.boats import fresh_request_id
from server.actions.library import own_parts
from server.actions.troubles import DocumentError, NameTakenError
from server.boat.value import Name
from server.web.dependencies import BoatId, Fields, Yard
from server.web.render import page
from server.web.views.boats import ProblemView
from server.web.views.library import library_view
from server.web.views.photos import counted

router = APIRouter()

URL = "/own-parts"
BAD_NAME = "Enter a name of 1 to 120 characters."
TAKEN_NAME = "Another of your own parts has this name."
_NAME: TypeAdapter[str] = TypeAdapter(Name)


def own_name(typed: str) -> str | None:
    """The name of an own part as typed; None where it cannot be one."""
    try:
        return _NAME.validate_python(typed.strip())
    except ValidationError:
        return None


@router.get("/own-parts")
def all_parts(request: Request, yard: Yard) -> Response:
    """Every own part."""
    return page(request, "library/page", library_view(own_parts(yard)))


@router.get("/own-parts/file")
def give_out(yard: Yard) -> Response:
    """All own parts as a file."""
    headers = {"Content-Disposition": f"attachment; filename*=UTF-8''{quote(library_files.FILE_NAME)}"}
    return Response(library_files.parts_file(yard), media_type="application/json", headers=headers)


@router.post("/own-parts/import")
async def take_in(request: Request, yard: Yard) -> Response:
    """Keep the parts of a file; a file that is none is answered with each problem and its place."""
    async with request.form(max_files=1, max_fields=10) as form:
        upload = form.get("file")
        body = await upload.read() if isinstance(upload, UploadFile) else b""
        request_id = str(form.get("request_id") or fresh_request_id())
    try:
        taken = library_files.take_in(yard, body, request_id)
    except DocumentError as error:
        problems = tuple(ProblemView(one.path, one.message, one.mend) for one in error.problems)
        view = library_view(own_parts(yard), problems=problems)
        return page(request, "library/page", view, status=422)
    told = [f"{counted(taken.new, 'part')} taken in."]
    told += [f"{counted(taken.known, 'part')} known already."] if taken.known else []
    told += [f"Named anew, as the name was taken: {', '.join(taken.renamed)}."] if taken.renamed else []
    return page(request, "library/page", library_view(own_parts(yard), told=" ".join(told)))


@router.post("/own-parts/{part_id}/rename")
def rename(request: Request, part_id: BoatId, yard: Yard, fields: Fields) -> Response:
    """Another name for an own part."""
    typed = fields.get("name", "")
    name, wrong = own_name(typed), BAD_NAME
    if name is not None:
        try:
            library.rename(yard, part_id, name)
        except NameTakenError:
            wrong = TAKEN_NAME
        else:
            return RedirectResponse(URL, status_code=303)
    view = library_view(own_parts(yard), refused={part_id: (typed, wrong)})
    return page(request, "library/page", view, status=422)


@router.post("/own-parts/{part_id}/remove")
def remove(part_id: BoatId, yard: Yard) -> Response:
    """Take an own part off the list."""
    library.remove(yard, part_id)
    return RedirectResponse(URL, status_code=303)
