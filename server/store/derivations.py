"""What was made of bodies and can be made again."""

from collections.abc import Iterable

from server.store import derived
from server.store.opened import Opened
from server.store.writing import require_storable


class Derivations(Opened):
    """A cache by body, engine version and kind."""

    def derived_get(self, sha: str, engine_version: str, kind: str) -> bytes | None:
        """What this engine version once made of a body; None if it has to be made."""
        return self.derived_get_many([sha], engine_version, kind).get(sha)

    def derived_get_many(self, shas: Iterable[str], engine_version: str, kind: str) -> dict[str, bytes]:
        """The same for many bodies in one question; missing ones are left out.

        Raises:
            CorruptBodyError: a stored value is damaged; `derived_put` replaces it.
        """
        with self._database.read() as connection:
            return derived.get(connection, shas, engine_version, kind)

    def derived_put(self, sha: str, engine_version: str, kind: str, value: bytes) -> None:
        """Keep what was made of a stored body, in place of what was kept before.

        Raises:
            StoreFailedError: there is no body of this hash.
        """
        require_storable(sha, engine_version, kind)
        with self._database.write() as connection:
            derived.put(connection, sha, engine_version, kind, value)

    def derived_keep_only(self, engine_version: str) -> None:
        """Drop what other engine versions made."""
        with self._database.write() as connection:
            derived.keep_only(connection, engine_version)
