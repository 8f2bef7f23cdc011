"""Our own and the build's static files."""

import os

from starlette.responses import Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope


class FreshFiles(StaticFiles):
    """Static files that the browser keeps but asks after, so that an upgrade shows at once."""

    def file_response(
        self,
        full_path: "os.PathLike[str] | str",
        stat_result: os.stat_result,
        scope: Scope,
        status_code: int = 200,
    ) -> Response:
        """The file, or 304 when the browser has it."""
        response = super().file_response(full_path, stat_result, scope, status_code)
        response.headers["Cache-Control"] = "no-cache"
        return response
