"""Every route has its rights written down; a new one without an entry fails here."""

from collections.abc import Iterable, Iterator

import pytest
from fastapi.testclient import TestClient
from starlette.routing import BaseRoute, Mount, Route

READ, CHANGE = "read", "change"

RIGHTS = {
    ("GET", "/"): READ,
    ("GET", "/boats"): READ,
    ("GET", "/new-boat"): READ,
    ("POST", "/new-boat"): CHANGE,
    ("GET", "/complaint"): READ,
    ("POST", "/complaint"): CHANGE,
    ("GET", "/boats/{boat_id}/complaint"): READ,
    ("POST", "/boats/{boat_id}/complaint"): CHANGE,
    ("POST", "/boats/demo"): CHANGE,
    ("POST", "/boats/import"): CHANGE,
    ("GET", "/boats/{boat_id}"): READ,
    ("GET", "/boats/{boat_id}/card"): READ,
    ("GET", "/boats/{boat_id}/export"): READ,
    ("GET", "/boats/{boat_id}/event"): READ,
    ("GET", "/boats/{boat_id}/event/deck"): READ,
    ("GET", "/boats/{boat_id}/event/picture"): READ,
    ("GET", "/boats/{boat_id}/events"): READ,
    ("GET", "/boats/{boat_id}/supply"): READ,
    ("GET", "/boats/{boat_id}/supply/deck"): READ,
    ("GET", "/boats/{boat_id}/findings"): READ,
    ("GET", "/boats/{boat_id}/findings/rest"): READ,
    ("GET", "/boats/{boat_id}/findings/one"): READ,
    ("GET", "/boats/{boat_id}/findings/mends"): READ,
    ("POST", "/boats/{boat_id}/findings/accept"): CHANGE,
    ("POST", "/boats/{boat_id}/findings/withdraw"): CHANGE,
    ("GET", "/boats/{boat_id}/fitting"): READ,
    ("GET", "/boats/{boat_id}/fitting/rows"): READ,
    ("POST", "/boats/{boat_id}/fitting/rows"): CHANGE,
    ("POST", "/boats/{boat_id}/fitting/rows/file"): CHANGE,
    ("GET", "/boats/{boat_id}/rows.csv"): READ,
    ("GET", "/boats/{boat_id}/survey"): READ,
    ("POST", "/boats/{boat_id}/survey"): CHANGE,
    ("POST", "/boats/{boat_id}/survey/row"): CHANGE,
    ("POST", "/boats/{boat_id}/survey/undo"): CHANGE,
    ("GET", "/boats/{boat_id}/history"): READ,
    ("GET", "/boats/{boat_id}/history/{rev}"): READ,
    ("GET", "/boats/{boat_id}/history/{rev}/picture"): READ,
    ("POST", "/boats/{boat_id}/history/restore"): CHANGE,
    ("GET", "/boats/{boat_id}/options"): READ,
    ("GET", "/boats/{boat_id}/options/standing"): READ,
    ("POST", "/boats/{boat_id}/options"): CHANGE,
    ("POST", "/boats/{boat_id}/option/describe"): CHANGE,
    ("POST", "/boats/{boat_id}/option/aside"): CHANGE,
    ("GET", "/boats/{boat_id}/option/take-over"): READ,
    ("POST", "/boats/{boat_id}/option/take-over"): CHANGE,
    ("GET", "/boats/{boat_id}/compare"): READ,
    ("GET", "/boats/{boat_id}/compare/picture"): READ,
    ("GET", "/boats/{boat_id}/compare/loads"): READ,
    ("GET", "/boats/{boat_id}/compare/findings"): READ,
    ("GET", "/boats/{boat_id}/compare/steps"): READ,
    ("GET", "/boats/{boat_id}/owner"): READ,
    ("GET", "/boats/{boat_id}/owner/sheet"): READ,
    ("GET", "/boats/{boat_id}/prices"): READ,
    ("POST", "/boats/{boat_id}/prices"): CHANGE,
    ("GET", "/boats/{boat_id}/prices/file"): READ,
    ("POST", "/boats/{boat_id}/prices/file"): CHANGE,
    ("GET", "/boats/{boat_id}/lists"): READ,
    ("GET", "/boats/{boat_id}/here"): READ,
    ("GET", "/boats/{boat_id}/shape"): READ,
    ("GET", "/boats/{boat_id}/find"): READ,
    ("POST", "/boats/{boat_id}/here/put"): CHANGE,
    ("POST", "/boats/{boat_id}/here/wire"): CHANGE,
    ("POST", "/boats/{boat_id}/here/bank"): CHANGE,
    ("POST", "/boats/{boat_id}/here/ways"): CHANGE,
    ("POST", "/boats/{boat_id}/here/out"): CHANGE,
    ("POST", "/boats/{boat_id}/here/row"): CHANGE,
    ("GET", "/boats/{boat_id}/photos"): READ,
    ("GET", "/boats/{boat_id}/ticked"): READ,
    ("POST", "/boats/{boat_id}/ticked/copy"): CHANGE,
    ("POST", "/boats/{boat_id}/ticked/duplicate"): CHANGE,
    ("POST", "/boats/{boat_id}/ticked/remove"): CHANGE,
    ("POST", "/boats/{boat_id}/ticked/save"): CHANGE,
    ("POST", "/boats/{boat_id}/ticked/undo"): CHANGE,
    ("GET", "/own-parts"): READ,
    ("GET", "/own-parts/file"): READ,
    ("POST", "/own-parts/import"): CHANGE,
    ("POST", "/own-parts/{part_id}/rename"): CHANGE,
    ("POST", "/own-parts/{part_id}/remove"): CHANGE,
    ("POST", "/boats/{boat_id}/photos"): CHANGE,
    ("GET", "/boats/{boat_id}/photos/{photo}"): READ,
    ("GET", "/boats/{boat_id}/photo-files/{sha}"): READ,
    ("GET", "/boats/{boat_id}/export-photos"): READ,
    ("POST", "/boats/import-photos"): CHANGE,
    ("POST", "/boats/{boat_id}/photos/undo"): CHANGE,
    ("POST", "/boats/{boat_id}/photos/{photo}/about"): CHANGE,
    ("POST", "/boats/{boat_id}/photos/{photo}/conductor"): CHANGE,
    ("POST", "/boats/{boat_id}/photos/{photo}/pin"): CHANGE,
    ("POST", "/boats/{boat_id}/photos/{photo}/pin-off"): CHANGE,
    ("POST", "/boats/{boat_id}/photos/{photo}/remove"): CHANGE,
    ("GET", "/boats/{boat_id}/best-place"): READ,
    ("GET", "/boats/{boat_id}/advice"): READ,
    ("GET", "/boats/{boat_id}/pick-up"): READ,
    ("GET", "/boats/{boat_id}/pick-up-both"): READ,
    ("GET", "/boats/{boat_id}/picture"): READ,
    ("POST", "/boats/{boat_id}/assumption"): CHANGE,
    ("POST", "/boats/{boat_id}/assumption/clear"): CHANGE,
    ("POST", "/boats/{boat_id}/delete"): CHANGE,
    ("POST", "/boats/{boat_id}/duplicate"): CHANGE,
    ("POST", "/boats/{boat_id}/fitting/cable"): CHANGE,
    ("POST", "/boats/{boat_id}/fitting/out"): CHANGE,
    ("POST", "/boats/{boat_id}/fitting/part"): CHANGE,
    ("POST", "/boats/{boat_id}/fitting/undo"): CHANGE,
    ("POST", "/boats/{boat_id}/hours"): CHANGE,
    ("POST", "/boats/{boat_id}/length"): CHANGE,
    ("POST", "/boats/{boat_id}/mend"): CHANGE,
    ("POST", "/boats/{boat_id}/minimum-voltage"): CHANGE,
    ("POST", "/boats/{boat_id}/on"): CHANGE,
    ("POST", "/boats/{boat_id}/position"): CHANGE,
    ("GET", "/boats/{boat_id}/way"): READ,
    ("POST", "/boats/{boat_id}/put-down"): CHANGE,
    ("POST", "/boats/{boat_id}/put-down-both"): CHANGE,
    ("POST", "/boats/{boat_id}/redo"): CHANGE,
    ("POST", "/boats/{boat_id}/rename"): CHANGE,
    ("POST", "/boats/{boat_id}/restore"): CHANGE,
    ("POST", "/boats/{boat_id}/size"): CHANGE,
    ("POST", "/boats/{boat_id}/undo"): CHANGE,
    ("GET", "/boats/{boat_id}/switching"): READ,
    ("GET", "/boats/{boat_id}/plan"): READ,
    ("POST", "/boats/{boat_id}/plan/put"): CHANGE,
    ("POST", "/boats/{boat_id}/plan/off"): CHANGE,
    ("POST", "/boats/{boat_id}/plan/move"): CHANGE,
    ("POST", "/boats/{boat_id}/plan/nudge"): CHANGE,
    ("POST", "/boats/{boat_id}/plan/undo"): CHANGE,
    ("GET", "/rules"): READ,
    ("POST", "/boats/{boat_id}/switching/reason"): CHANGE,
    ("POST", "/rules/tables"): CHANGE,
    ("GET", "/rules/tables/{table_id}"): READ,
    ("POST", "/rules/tables/{table_id}/remove"): CHANGE,
    ("POST", "/rules/tables/{table_id}/bring-back"): CHANGE,
    ("POST", "/boats/{boat_id}/ampacity-table"): CHANGE,
    ("POST", "/look"): CHANGE,
    ("POST", "/own-name"): CHANGE,
    ("GET", "/api/boats/{boat_id}"): READ,
    ("GET", "/api/boats/{boat_id}/answer"): READ,
    ("GET", "/api/schema/answer.json"): READ,
    ("GET", "/api/schema/boat.json"): READ,
    ("POST", "/api/boats/{boat_id}/edits"): CHANGE,
}
MOUNTS = {"/static", "/lib"}
CHANGING = sorted(path for (_, path), right in RIGHTS.items() if right == CHANGE)
READING = sorted(path for (_, path), right in RIGHTS.items() if right == READ)


def _flat(routes: Iterable[BaseRoute]) -> Iterator[BaseRoute]:
    """Every route, those of included routers too."""
    for route in routes:
        included = getattr(route, "original_router", None)
        yield from [route] if included is None else _flat(included.routes)


def test_every_route_has_an_entry(client: TestClient) -> None:
    routes = list(_flat(client.app.routes))  # type: ignore[attr-defined]
    found = {
        (method, route.path)
        for route in routes
        if isinstance(route, Route)
        for method in (route.methods or ())
        if method != "HEAD"
    }

    assert found == set(RIGHTS)
    assert {route.path for route in routes if isinstance(route, Mount)} == MOUNTS


def test_reading_changes_nothing(sloop: TestClient) -> None:
    store = sloop.app.state.yard.store  # type: ignore[attr-defined]
    before = [(row.id, row.head) for row in store.boats()]
    for path in READING:
        sloop.get(path.replace("{boat_id}", "sloop"), params={"part": "vhf", "terminal": "negative"})

    assert [(row.id, row.head) for row in store.boats()] == before


@pytest.mark.parametrize("path", CHANGING)
def test_a_change_from_a_foreign_page_is_refused(bystander: TestClient, path: str) -> None:
    answer = bystander.post(path.replace("{boat_id}", "sloop"), headers={"Origin": "http://evil.example"})

    assert answer.status_code == 403


@pytest.mark.parametrize("path", CHANGING)
@pytest.mark.parametrize(
    "fields",
    [
        {},
        {"revision": "one", "request_id": "short"},
        {"revision": "1", "request_id": "a" * 32},
        {"revision": "9" * 40, "request_id": "a" * 32},
        {
            "revision": "99",
            "request_id": "b" * 32,
            "part": "\x00",
            "terminal": "x" * 5_000,
            "value": "9" * 5_000,
        },
        {"revision": "1", "request_id": "c" * 32, "part": "autopilot", "input": "supply", "value": "nan"},
        {"revision": "1", "request_id": "d" * 32, "conductor": "c29", "value": "\uff11\uff12"},
        {"revision": "1", "request_id": "e" * 32, "key": "conductor_temperature", "value": "inf"},
    ],
)
def test_no_form_is_ever_our_mistake(bystander: TestClient, path: str, fields: dict[str, str]) -> None:
    answer = bystander.post(path.replace("{boat_id}", "sloop"), data=fields)

    assert answer.status_code < 500
    assert answer.status_code != 200 or path == "/boats/import"


@pytest.mark.parametrize("boat", ["ghost", "SLOOP", "a" * 40, "%00", "sloop%0a"])
@pytest.mark.parametrize("below", ["", "/lists", "/findings", "/card", "/export", "/pick-up", "/picture"])
def test_no_address_is_ever_our_mistake(bystander: TestClient, boat: str, below: str) -> None:
    assert bystander.get(f"/boats/{boat}{below}").status_code in {307, 404, 422}


@pytest.mark.parametrize(
    "query",
    [
        "sort=evil&order=up",
        "since=99",
        "since=-1",
        "since=1e9",
        "selected=ghost",
        "selected=" + "x" * 3_000,
        "mode=&event=",
        "mode=%00",
        "selected=%ff%fe",
        "mode=starting&event=engine-start&selected=autopilot&sort=name&since=0",
    ],
)
def test_no_view_is_ever_our_mistake(bystander: TestClient, query: str) -> None:
    assert bystander.get(f"/boats/sloop?{query}").status_code in {200, 404}
