"""Puts the pieces together: the app, and the server that runs it."""

import socket
import threading
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import replace
from importlib import import_module

import uvicorn
from fastapi import FastAPI
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware

from server.actions.yard import open_yard
from server.bundled import bundled, htmx_folder
from server.lock import FolderInUseError, folder_held
from server.settings import Settings
from server.store.errors import StoreError
from server.web import errors, troubles
from server.web.guard import BodyCap, HostCheck, OriginCheck
from server.web.headers import SecurityHeaders
from server.web.idle import CollectWhenIdle, leave_full_collections_to_idle_times
from server.web.lan import JoinDesk, LanGate, invitation, lan_names, new_code
from server.web.patience import PatientProtocol, allow_many_connections
from server.web.routes import (
    api,
    boats,
    compare,
    complaint,
    copying,
    events,
    findings,
    fitting,
    fitting_rows,
    here,
    history,
    join,
    library,
    lists,
    look,
    new_boats,
    options,
    own_name,
    owner,
    photos,
    plan,
    prices,
    rules,
    start,
    survey,
    switching,
    values,
    workbench,
)
from server.web.static import FreshFiles

_ROUTERS = (
    start.router,
    boats.router,
    new_boats.router,
    complaint.router,
    workbench.router,
    here.router,
    values.router,
    events.router,
    fitting_rows.router,
    survey.router,
    fitting.router,
    lists.router,
    plan.router,
    photos.router,
    copying.router,
    library.router,
    switching.router,
    rules.router,
    findings.router,
    history.router,
    options.router,
    compare.router,
    prices.router,
    owner.router,
    api.router,
    look.router,
    own_name.router,
)
_SLOW_IMPORTS = ("networkx", "numpy", "scipy.sparse.linalg", "scipy.sparse.csgraph")
_WARM_AFTER_S = 0.5


class CannotServeError(Exception):
    """The server cannot start; the message says why and what to do."""


def create_app(settings: Settings) -> FastAPI:
    """The whole application over one data folder, which it opens; the app's lifespan closes it.

    Raises:
        StoreError: the data folder cannot be used.
    """
    desk = JoinDesk(new_code()) if settings.lan else None
    app = FastAPI(
        title="Tapchart",
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
        redirect_slashes=False,
        middleware=_middleware(settings, desk),
        lifespan=_lifespan,
    )
    app.state.yard = open_yard(settings.data_dir, demo=settings.demo)
    errors.install(app)
    troubles.install(app)
    app.mount("/static", FreshFiles(directory=bundled("static")))
    app.mount("/lib", FreshFiles(directory=htmx_folder()))
    for router in _ROUTERS:
        app.include_router(router)
    if desk is not None:
        app.state.join_desk = desk
        app.include_router(join.router)
    return app


def _middleware(settings: Settings, desk: JoinDesk | None) -> list[Middleware]:
    """What every request passes, the outermost first."""
    gate = [Middleware(LanGate, desk=desk)] if desk is not None else []
    return [
        Middleware(CollectWhenIdle),
        Middleware(SecurityHeaders),
        Middleware(GZipMiddleware, minimum_size=1000, compresslevel=5),
        Middleware(HostCheck, names=settings.lan_names),
        Middleware(OriginCheck),
        *gate,
        Middleware(BodyCap),
    ]


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    """Import the numeric libraries soon after start; close the store at the end."""
    warming = threading.Timer(_WARM_AFTER_S, _warm)
    warming.daemon = True
    warming.start()
    yield
    warming.cancel()
    warming.join()
    app.state.yard.store.close()


def _warm() -> None:
    for name in _SLOW_IMPORTS:
        import_module(name)


def web_server(app: FastAPI) -> uvicorn.Server:
    """A server for the app, to be run over a socket that is already bound."""
    return uvicorn.Server(
        uvicorn.Config(
            app,
            http=PatientProtocol,
            log_level="warning",
            ws="none",
            proxy_headers=False,
            server_header=False,
            timeout_keep_alive=75,  # longer than any poll, else polls meet closing connections
            timeout_graceful_shutdown=1,
        )
    )


def listening_socket(settings: Settings) -> socket.socket:
    """A bound, listening socket: loopback unless other devices may join.

    Raises:
        CannotServeError: the port is taken or not allowed.
    """
    host = "0.0.0.0" if settings.lan else "127.0.0.1"  # noqa: S104 - asked for by --lan
    try:
        return socket.create_server((host, settings.port), backlog=2048)
    except OSError as error:
        reason = f"port {settings.port} cannot be used ({error.strerror}): choose another with --port"
        raise CannotServeError(reason) from error


def serve(settings: Settings) -> None:
    """Serve the pages until stopped, after printing where they are.

    Raises:
        CannotServeError: the folder is held by another server, or the folder or port cannot be used.
    """
    if settings.lan:
        settings = replace(settings, lan_names=lan_names())
    allow_many_connections()
    leave_full_collections_to_idle_times()
    try:
        with folder_held(settings.data_dir) as announce, listening_socket(settings) as listener:
            port = listener.getsockname()[1]
            announce(f"Tapchart at http://127.0.0.1:{port}")
            app = create_app(settings)
            print(_greeting(settings, app, port), flush=True)
            web_server(app).run(sockets=[listener])
    except (FolderInUseError, StoreError, OSError) as error:
        raise CannotServeError(str(error)) from error


def _greeting(settings: Settings, app: FastAPI, port: int) -> str:
    """Where the pages are, for this machine and, when asked for, for others."""
    own = f"Tapchart is at http://127.0.0.1:{port}  (Ctrl-C stops it; boats are kept in {settings.data_dir})"
    if not settings.lan:
        return own
    return f"{own}\n{invitation(f'http://{settings.lan_names[0]}:{port}', app.state.join_desk.code)}"
