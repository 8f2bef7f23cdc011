"""The yard's own prices and hours: each list is kept as it was entered, the newest is in force."""

from sqlalchemy import insert, select

from server.store.errors import RequestReusedError
from server.store.opened import Opened
from server.store.tables import PRICE_LIST
from server.store.values import PriceListRow
from server.store.writing import require_storable

_COLUMNS = tuple(PRICE_LIST.c[name] for name in PriceListRow.__dataclass_fields__)


class PriceLists(Opened):
    """The price lists of one data folder."""

    def price_list(self) -> PriceListRow | None:
        """The list in force; None where none was entered."""
        newest = select(*_COLUMNS).order_by(PRICE_LIST.c.at_us.desc(), PRICE_LIST.c.id).limit(1)
        with self._database.read() as connection:
            found = connection.execute(newest).first()
            return None if found is None else PriceListRow(*found)

    def keep_price_list(self, *, content: str, request_id: str) -> PriceListRow:
        """Keep a list, which is in force from now on; a repeated request answers the same list.

        Raises:
            RequestReusedError: the request id was used for another list.
            UnstorableTextError: the text holds a character that cannot be kept.
        """
        require_storable(content, request_id)
        with self._database.write() as connection:
            done = connection.execute(select(*_COLUMNS).where(PRICE_LIST.c.request_id == request_id)).first()
            if done is not None:
                row = PriceListRow(*done)
                if row.content != content:
                    raise RequestReusedError(f"request {request_id} was already used for another list")
                return row
            made = PriceListRow(self._new_id(), content, self._clock_us())
            connection.execute(
                insert(PRICE_LIST),
                {"id": made.id, "content": content, "request_id": request_id, "at_us": made.at_us},
            )
            return made
