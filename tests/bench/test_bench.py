"""That the bench runs; how fast it finds things to be is no test."""

import json

from tests.bench.report import lines, run, table, to_json


def test_the_smallest_bench_runs_and_its_answers_are_exact() -> None:
    """Times are left alone here; exactness holds on any machine."""
    result = run(smallest=True)

    assert result.moves.moves > 100
    assert result.moves.worst_relative_difference < 1e-9
    assert result.attribution_v < 1e-10
    assert all(row.difference is None or row.difference < 1e-6 for row in result.operating)
    assert all(line.figure for line in lines(result))
    assert "moves of 12 loads" in table(result)
    assert json.loads(to_json(result))["moves"]["loads"] == 12
