"""Run the bench: a table with the aims beside it, and the same as JSON.

``python -m tests.bench [--smallest] [--json FILE]``. Times are the best of several runs on this machine, as
busy as it is; judge by the ratios. BLAS runs on one thread, since its threads cost more than they give on
matrices this small.
"""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import argparse
import sys
from pathlib import Path

from tests.bench.report import run, table, to_json

RESULT = Path("tests/artifacts/bench.json")


def main() -> int:
    """Run, print, write."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench", description=__doc__)
    parser.add_argument(
        "--smallest", action="store_true", help="the smallest sizes alone, to see that it runs"
    )
    parser.add_argument("--json", type=Path, default=RESULT, metavar="FILE", help="where to write")
    arguments = parser.parse_args()
    result = run(smallest=arguments.smallest)
    print(table(result))
    arguments.json.parent.mkdir(parents=True, exist_ok=True)
    arguments.json.write_text(to_json(result))
    return 0


sys.exit(main())
