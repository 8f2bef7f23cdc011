"""The page of rules and sources: nothing that is judged by is missing from it."""

from fastapi.testclient import TestClient

from server.practice.rules import all_rules
from server.practice.tables import rows, table_names
from tests.web.reading import element, ids, words


def test_every_rule_stands_with_its_source_and_how_it_was_verified(bystander: TestClient) -> None:
    html = bystander.get("/rules").text

    for rule in all_rules():
        row = words(element(html, f"rule-{rule.id}"))
        assert " ".join(rule.source.split()) in row
        assert ("from memory, confirm" in row) == (rule.status == "memory")
    assert "175" not in words(element(html, "rule-ocp-7in"))
    assert "7 in" in words(element(html, "rule-ocp-7in"))


def test_every_shipped_table_stands_with_all_its_rows(bystander: TestClient) -> None:
    html = bystander.get("/rules").text
    named = set(ids(html))

    for name in table_names():
        if name != "rules":
            assert f"table-{name.replace('_', '-')}" in named
            body = element(html, f"table-{name.replace('_', '-')}")
            assert body.count("<tr>") == len(rows(name)) + 1
    assert "33 CFR 183.425 Table 5" in words(element(html, "table-table5-ampacity"))


def test_every_page_leads_there(bystander: TestClient) -> None:
    assert 'href="/rules"' in bystander.get("/boats").text
