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

from server.bundled import bundled, htmx_folder
from server.lock import folder_held
from server.settings import Settings
from server.web import errors
from server.web.guard import BodyCap, HostCheck, OriginCheck
from server.web.headers import SecurityHeaders
from server.web.lan import JoinDesk, LanGate, invitation, lan_names, new_code
from server.web.routes import join, look, start
from server.web.static import FreshFiles

_ROUTERS = (start.router, look.router)
_SLOW_IMPORTS = ("networkx", "numpy", "scipy.sparse.linalg", "scipy.sparse.csgraph")
_WARM_AFTER_S = 0.5


def create_app(settings: Settings) -> FastAPI:
    """The whole application over one data folder; no socket is opened."""
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
    app.state.settings = settings
    errors.install(app)
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
        Middleware(SecurityHeaders),
        Middleware(GZipMiddleware, minimum_size=1000, compresslevel=5),
        Middleware(HostCheck, names=settings.lan_names),
        Middleware(OriginCheck),
        *gate,
        Middleware(BodyCap),
    ]


@asynccontextmanager
async def _lifespan(app: FastAPI) -> AsyncIterator[None]:
    """Import the numeric libraries soon after start, so that neither start nor first answer waits."""
    warming = threading.Timer(_WARM_AFTER_S, _warm)
    warming.daemon = True
    warming.start()
    yield
    warming.cancel()
    warming.join()


def _warm() -> None:
    for name in _SLOW_IMPORTS:
        import_module(name)


def web_server(app: FastAPI) -> uvicorn.Server:
    """A server for the app, to be run over a socket that is already bound."""
    return uvicorn.Server(
        uvicorn.Config(
            app,
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
        OSError: the port is taken or not allowed.
    """
    host = "0.0.0.0" if settings.lan else "127.0.0.1"  # noqa: S104 - asked for by --lan
    try:
        return socket.create_server((host, settings.port), backlog=2048)
    except OSError as error:
        raise OSError(
            f"port {settings.port} cannot be used ({error.strerror}): choose another with --port"
        ) from error


def serve(settings: Settings) -> None:
    """Serve the pages until stopped, after printing where they are.

    Raises:
        FolderInUseError: another server holds the data folder.
        OSError: the port or the folder cannot be used.
    """
    if settings.lan:
        settings = replace(settings, lan_names=lan_names())
    with folder_held(settings.data_dir) as announce, listening_socket(settings) as listener:
        port = listener.getsockname()[1]
        address = f"http://127.0.0.1:{port}"
        announce(f"Tapchart at {address}")
        app = create_app(settings)
        print(
            f"Tapchart is at {address}  (Ctrl-C stops it; boats are kept in {settings.data_dir})", flush=True
        )
        if settings.lan:
            print(invitation(f"http://{settings.lan_names[0]}:{port}", app.state.join_desk.code), flush=True)
        web_server(app).run(sockets=[listener])
