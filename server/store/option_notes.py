"""What is said of an option besides its document: a note, and whether it was put aside."""

from sqlalchemy import Connection, insert, update

from server.store import reading
from server.store.opened import Opened
from server.store.tables import OPTION_NOTE
from server.store.values import BoatRow
from server.store.writing import living_boat, mark, require_storable


class OptionNotes(Opened):
    """Names, notes and marks of options; none of them is part of a document."""

    def describe_option(self, boat_id: str, *, name: str, note: str) -> BoatRow:
        """Give an option another name and note; its documents stay as they are.

        Raises:
            UnknownBoatError, DeletedBoatError: there is none.
            UnstorableTextError: a text holds a character that cannot be kept.
        """
        require_storable(name, note)
        with self._database.write() as connection:
            living_boat(connection, boat_id)
            mark(connection, boat_id, name=name)
            _say(connection, boat_id, note=note)
            return reading.boat_row(connection, boat_id)

    def put_option_aside(self, boat_id: str, *, aside: bool) -> BoatRow:
        """Put an option aside, or bring it back; doing it twice changes nothing.

        Raises:
            UnknownBoatError, DeletedBoatError: there is none.
        """
        with self._database.write() as connection:
            row = living_boat(connection, boat_id)
            if (row.aside_us is not None) is not aside:
                _say(connection, boat_id, aside_us=self._clock_us() if aside else None)
            return reading.boat_row(connection, boat_id)


def _say(connection: Connection, boat_id: str, **values: str | int | None) -> None:
    changed = connection.execute(
        update(OPTION_NOTE).where(OPTION_NOTE.c.boat_id == boat_id).values(values)
    ).rowcount
    if not changed:
        connection.execute(insert(OPTION_NOTE), {"boat_id": boat_id, "note": "", "aside_us": None} | values)
