"""The shape of the code: floors, quick start, and words that must not stand in the project."""

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
NOT_OURS = {".git", ".venv", "dist", "artifacts", ".hypothesis", "__pycache__"}

# Put together from pieces, so that this file passes its own test.
FORBIDDEN = {
    "paths of one machine": re.compile("/" + r"(work|root|farm)/|/tmp/" + "bash_jobs"),
    "words about how it was ordered": re.compile("trans" + "cript|seed " + "document", re.IGNORECASE),
    "package registries spelt out": re.compile(
        "index-" + r"url|(resolved|registry|url)\"? ?[:=] ?\"https?" + "://", re.IGNORECASE
    ),
}
REACHES_OUT = re.compile(r"https?://(?!127\.0\.0\.1|www\.w3\.org/)")


def our_files() -> Iterator[Path]:
    for folder, folders, names in os.walk(ROOT):
        folders[:] = [
            name for name in folders if name not in NOT_OURS and not name.endswith(("_cache", ".egg-info"))
        ]
        yield from (Path(folder) / name for name in names if not name.startswith(".coverage"))


def text_of(path: Path) -> str:
    return path.read_text(encoding="utf-8", errors="replace")


def test_imports_point_down_only() -> None:
    run = subprocess.run(
        [Path(sys.executable).with_name("lint-imports"), "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )

    assert run.returncode == 0, run.stdout + run.stderr


def test_start_waits_for_no_heavy_library() -> None:
    code = "import sys, server.main; print(*sys.modules)"
    run = subprocess.run([sys.executable, "-c", code], cwd=ROOT, check=True, capture_output=True, text=True)

    assert "fastapi" in run.stdout.split()
    assert {"numpy", "scipy", "networkx", "alembic", "segno"}.isdisjoint(run.stdout.split())


@pytest.mark.parametrize("what", FORBIDDEN)
def test_nothing_of_these_stands_in_the_project(what: str) -> None:
    found = [str(path.relative_to(ROOT)) for path in our_files() if FORBIDDEN[what].search(text_of(path))]

    assert found == []


def test_no_page_reaches_out() -> None:
    found = [
        str(path.relative_to(ROOT))
        for folder in ("templates", "static")
        for path in (ROOT / folder).rglob("*")
        if path.is_file() and REACHES_OUT.search(text_of(path))
    ]

    assert found == []


def test_no_script_or_style_stands_inside_a_template() -> None:
    inline = re.compile(
        r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son[a-z]+=|\|\s*safe\b|hx-on", re.IGNORECASE
    )
    found = [
        str(path.relative_to(ROOT))
        for path in (ROOT / "templates").rglob("*.html")
        if inline.search(text_of(path))
    ]

    assert found == []


def test_the_forbidden_words_would_be_found() -> None:
    samples = {
        "paths of one machine": "see /" + "work/notes",
        "words about how it was ordered": "from the Trans" + "cript",
        "package registries spelt out": 'registry = "https' + '://example"',
    }

    assert all(FORBIDDEN[what].search(text) for what, text in samples.items())
    assert samples.keys() == FORBIDDEN.keys()
