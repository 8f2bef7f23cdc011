"""What was computed from bodies: a cache that may be dropped at any time."""

import zlib
from collections.abc import Iterable

from sqlalchemy import Connection, delete, insert, select

from server.store.reading import unzipped
from server.store.tables import DERIVED


def get(connection: Connection, shas: Iterable[str], engine_version: str, kind: str) -> dict[str, bytes]:
    """What this engine version made of each body; missing ones are left out."""
    query = select(DERIVED.c.sha, DERIVED.c.z).where(
        DERIVED.c.sha.in_(list(shas)), DERIVED.c.engine_version == engine_version, DERIVED.c.kind == kind
    )
    return {sha: unzipped(z, f"{kind} of {sha}") for sha, z in connection.execute(query)}


def put(connection: Connection, sha: str, engine_version: str, kind: str, value: bytes) -> None:
    """Keep a value in place of what was kept before."""
    key = {"sha": sha, "engine_version": engine_version, "kind": kind}
    connection.execute(delete(DERIVED).filter_by(**key))
    connection.execute(insert(DERIVED), {**key, "z": zlib.compress(value)})


def keep_only(connection: Connection, engine_version: str) -> None:
    """Drop what other engine versions made."""
    connection.execute(delete(DERIVED).where(DERIVED.c.engine_version != engine_version))
