"""Photos: kept once under the hash of their bytes, never changed, deleted only where nothing uses them."""

import zlib

from sqlalchemy import Connection, delete, func, insert, select, update

from server.store.errors import UnknownPhotoError
from server.store.opened import Opened
from server.store.reading import body_sha
from server.store.tables import BODY, PHOTO
from server.store.values import PhotoRow

UNUSED_FOR_US = 24 * 60 * 60 * 1_000_000
"""How long a photo waits for a revision that refers to it: a form that met another edit may be sent later."""

_KNOWN = tuple(PHOTO.c[name] for name in PhotoRow.__dataclass_fields__)


class Photos(Opened):
    """The photos of one data folder; which document refers to which is the caller's to say."""

    def put_photo(self, picture: bytes, small: bytes, size: tuple[int, int]) -> PhotoRow:
        """Keep a photo and its small form, unless it is there already; its size is width and height.

        Photos that nothing refers to after a day go on this occasion.
        """
        sha = body_sha(picture)
        with self._database.write() as connection:
            now_us = self._clock_us()
            _drop_unused(connection, now_us - UNUSED_FOR_US)
            if _row(connection, sha) is None:
                width, height = size
                new = {"sha": sha, "width": width, "height": height, "picture": picture, "small": small}
                connection.execute(insert(PHOTO), {**new, "used": 0, "added_us": now_us})
            return _known(connection, sha)

    def photo(self, sha: str) -> PhotoRow:
        """What is known of a photo.

        Raises:
            UnknownPhotoError: there is none of this hash.
        """
        with self._database.read() as connection:
            return _known(connection, sha)

    def photos_there(self, shas: frozenset[str]) -> frozenset[str]:
        """Which of these photos are kept here."""
        with self._database.read() as connection:
            found = connection.execute(select(PHOTO.c.sha).where(PHOTO.c.sha.in_(sorted(shas))))
            return frozenset(sha for (sha,) in found)

    def photos_size(self, shas: frozenset[str]) -> int:
        """How many bytes these photos have in all, as far as they are kept here."""
        with self._database.read() as connection:
            size = select(func.coalesce(func.sum(func.length(PHOTO.c.picture)), 0))
            return int(connection.execute(size.where(PHOTO.c.sha.in_(sorted(shas)))).scalar_one())

    def photo_bytes(self, sha: str, *, small: bool = False) -> bytes:
        """A photo's bytes, or those of its small form.

        Raises:
            UnknownPhotoError: there is none of this hash.
        """
        column = PHOTO.c.small if small else PHOTO.c.picture
        with self._database.read() as connection:
            found = connection.execute(select(column).where(PHOTO.c.sha == sha)).scalar_one_or_none()
        if found is None:
            raise UnknownPhotoError(f"there is no photo {sha}")
        return bytes(found)

    def mark_photos_used(self, shas: frozenset[str]) -> None:
        """Say that a revision refers to these photos, which then stay for good."""
        with self._database.write() as connection:
            connection.execute(update(PHOTO).where(PHOTO.c.sha.in_(sorted(shas))).values(used=1))


def _row(connection: Connection, sha: str) -> PhotoRow | None:
    found = connection.execute(select(*_KNOWN).where(PHOTO.c.sha == sha)).first()
    return None if found is None else PhotoRow(**{**found._mapping, "used": bool(found.used)})


def _known(connection: Connection, sha: str) -> PhotoRow:
    row = _row(connection, sha)
    if row is None:
        raise UnknownPhotoError(f"there is no photo {sha}")
    return row


def _drop_unused(connection: Connection, before_us: int) -> None:
    """Delete what nothing refers to.

    The mark alone does not decide: a crash between a revision and its mark would lose evidence, so every
    body is searched for the hash first.
    """
    waiting = select(PHOTO.c.sha).where(PHOTO.c.used == 0, PHOTO.c.added_us < before_us)
    unused = {sha for (sha,) in connection.execute(waiting)}
    if not unused:
        return
    used: set[str] = set()
    for (z,) in connection.execute(select(BODY.c.z)).yield_per(100):
        body = zlib.decompress(z)
        used |= {sha for sha in unused - used if sha.encode() in body}
    connection.execute(update(PHOTO).where(PHOTO.c.sha.in_(sorted(used))).values(used=1))
    connection.execute(delete(PHOTO).where(PHOTO.c.sha.in_(sorted(unused - used))))
