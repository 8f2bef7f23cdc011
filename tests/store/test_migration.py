"""A data folder is brought up to date whole, or left exactly as it was."""

import re
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable
from contextlib import closing
from itertools import count
from pathlib import Path

import pytest
from alembic import command
from alembic.script import ScriptDirectory
from alembic.util import CommandError
from sqlalchemy import NullPool

from server.store import BoatRow, Repository
from server.store.database import open_engine
from server.store.errors import ForeignDatabaseError, MigrationError, NewerSchemaError
from server.store.migration import STEPS, Steps, _migrate, alembic_config, schema_version
from server.store.repository import DATABASE_NAME
from server.store.tables import Row

SECOND_STEP = '''"""A made-up second step."""
import sqlalchemy as sa
from alembic import op

revision, down_revision, branch_labels, depends_on = "9999", "0004", None, None


def upgrade() -> None:
    with op.batch_alter_table("boat") as boat:
        boat.add_column(sa.Column("owner", sa.Text(), server_default="nobody", nullable=False))
        boat.create_check_constraint("owner", "owner <> ''")
'''
FAILS = '    raise RuntimeError("the power of this step is out")\n'
DAMAGES = '    op.execute("DELETE FROM body")\n'


def steps_with_a_second(folder: Path, ending: str = "") -> Steps:
    """Our own steps and one more, in a folder whose name is awkward on purpose."""
    copied = folder / "100% of %(all)s steps"
    shutil.copytree(STEPS.folder, copied, ignore=shutil.ignore_patterns("__pycache__"), dirs_exist_ok=True)
    (copied / "versions" / "9999_second.py").write_text(SECOND_STEP + ending, encoding="utf-8")
    return Steps(copied, (*STEPS.versions, "9999"))


def content(database: Path) -> list[str]:
    """Everything in a database, as the statements that would build it again."""
    with closing(sqlite3.connect(database)) as connection:
        return list(connection.iterdump())


def version_of(database: Path) -> str | None:
    with closing(sqlite3.connect(database)) as connection:
        return schema_version(connection)


@pytest.fixture
def database(tmp_path: Path, store: Repository, boat: BoatRow) -> Path:
    """A database with one boat in it, closed."""
    store.close()
    return tmp_path / "data" / DATABASE_NAME


def test_an_empty_folder_gets_the_newest_tables_and_no_backup(tmp_path: Path) -> None:
    folder = tmp_path / "not" / "yet" / "there"
    Repository.open(folder).close()

    assert version_of(folder / DATABASE_NAME) == STEPS.newest
    assert [path.name for path in folder.iterdir()] == [DATABASE_NAME]


def test_the_program_knows_the_steps_that_are_in_its_folder(database: Path) -> None:
    engine = open_engine(database, NullPool)
    with engine.connect() as connection:
        script = ScriptDirectory.from_config(alembic_config(STEPS, connection))

        assert [step.revision for step in script.walk_revisions()] == list(reversed(STEPS.versions))


def test_the_steps_lead_to_the_tables_the_code_describes(database: Path) -> None:
    engine = open_engine(database, NullPool)
    with engine.connect() as connection:
        command.check(alembic_config(STEPS, connection))


@pytest.mark.parametrize(
    "statement", ["ALTER TABLE boat DROP COLUMN name", "ALTER TABLE boat ADD sails TEXT"]
)
def test_a_forgotten_step_would_be_noticed(database: Path, statement: str) -> None:
    with closing(sqlite3.connect(database)) as connection:
        connection.execute(statement)
    engine = open_engine(database, NullPool)

    with engine.connect() as connection, pytest.raises(CommandError):
        command.check(alembic_config(STEPS, connection))


def test_the_steps_also_lead_to_the_same_conditions(tmp_path: Path, database: Path) -> None:
    """Alembic's own comparison does not see CHECK constraints."""
    described = open_engine(tmp_path / "described.sqlite3", NullPool)
    Row.metadata.create_all(described)

    def tables(path: Path) -> dict[str, list[str]]:
        with closing(sqlite3.connect(path)) as connection:
            rows = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'table'").fetchall()
        return {
            name: sorted(re.sub(r"\s+", " ", line).strip(" ,") for line in sql.splitlines())
            for name, sql in rows
            if name != "alembic_version"
        }

    assert tables(database) == tables(tmp_path / "described.sqlite3")


def test_a_step_keeps_every_boat_and_the_old_state_is_backed_up_first(tmp_path: Path, database: Path) -> None:
    before = content(database)
    Repository.open(database.parent, lambda: 77, steps=steps_with_a_second(tmp_path)).close()
    backup = database.parent / "backups" / "boats-0004-before-9999-77.sqlite3"

    assert version_of(database) == "9999"
    with closing(sqlite3.connect(database)) as connection:
        assert connection.execute("SELECT id, name, owner FROM boat").fetchall() == [
            ("b1", "Heron", "nobody")
        ]
        assert connection.execute("SELECT strict FROM pragma_table_list WHERE name = 'boat'").fetchone() == (
            1,
        )
        with pytest.raises(sqlite3.IntegrityError, match="never"):
            connection.execute("DELETE FROM revision")
    assert [path.name for path in backup.parent.iterdir()] == [backup.name]
    assert content(backup) == before


@pytest.mark.parametrize(("ending", "says"), [(FAILS, "power of this step"), (DAMAGES, "missing body")])
def test_a_step_that_fails_half_way_leaves_the_old_version(
    tmp_path: Path, database: Path, ending: str, says: str
) -> None:
    before = content(database)

    with pytest.raises(MigrationError, match=says):
        Repository.open(database.parent, lambda: 1, steps=steps_with_a_second(tmp_path, ending))
    assert content(database) == before
    reopened = Repository.open(database.parent, lambda: 2)
    assert reopened.head("b1").body == b"first\n"
    reopened.close()
    Repository.open(database.parent, lambda: 3, steps=steps_with_a_second(tmp_path)).close()
    assert version_of(database) == "9999"


def test_a_first_step_that_fails_can_be_tried_again(tmp_path: Path) -> None:
    with pytest.raises(MigrationError):
        Repository.open(tmp_path / "data", steps=steps_with_a_second(tmp_path, FAILS))
    Repository.open(tmp_path / "data").close()

    assert version_of(tmp_path / "data" / DATABASE_NAME) == STEPS.newest


def test_a_newer_folder_is_refused_and_left_alone(tmp_path: Path, database: Path) -> None:
    Repository.open(database.parent, steps=steps_with_a_second(tmp_path)).close()
    before = content(database)

    with pytest.raises(NewerSchemaError, match="version 9999; this program knows up to 0004"):
        Repository.open(database.parent)
    assert content(database) == before


@pytest.mark.parametrize(
    "statement", ["CREATE TABLE recipes (name)", "CREATE TABLE alembic_version (version_num)"]
)
def test_another_programs_database_is_refused_and_left_alone(tmp_path: Path, statement: str) -> None:
    with closing(sqlite3.connect(tmp_path / DATABASE_NAME)) as connection:
        connection.execute(statement)
    before = (tmp_path / DATABASE_NAME).read_bytes()

    with pytest.raises(ForeignDatabaseError):
        Repository.open(tmp_path)
    assert (tmp_path / DATABASE_NAME).read_bytes() == before


STARTER = """
import sys
from pathlib import Path
import alembic.command
from server.store import Repository
from server.store.migration import Steps
folder, steps, *versions = sys.argv[1:]
print("ready", flush=True)
sys.stdin.readline()
Repository.open(Path(folder), steps=Steps(Path(steps), tuple(versions))).close()
print("open", flush=True)
"""


def start_together(folder: Path, steps: Steps) -> list[str]:
    """Three processes that open one folder at the same moment; what each says at the end."""
    arguments = [sys.executable, "-c", STARTER, str(folder), str(steps.folder), *steps.versions]
    starters = [
        subprocess.Popen(arguments, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        for _ in range(3)
    ]
    for starter in starters:
        assert starter.stdout is not None
        assert starter.stdout.readline() == "ready\n"
    for starter in starters:
        assert starter.stdin is not None
        starter.stdin.write("go\n")
        starter.stdin.flush()
    return [starter.communicate(timeout=60)[0] for starter in starters]


def test_several_starters_at_once_create_one_folder(tmp_path: Path) -> None:
    assert start_together(tmp_path / "data", STEPS) == ["open\n"] * 3
    assert version_of(tmp_path / "data" / DATABASE_NAME) == STEPS.newest


def test_of_several_starters_one_upgrades_and_backs_up(tmp_path: Path, database: Path) -> None:
    assert start_together(database.parent, steps_with_a_second(tmp_path)) == ["open\n"] * 3
    assert version_of(database) == "9999"
    assert len(list((database.parent / "backups").iterdir())) == 1


def test_a_starter_who_waited_for_another_finds_the_work_done(tmp_path: Path, database: Path) -> None:
    before = content(database)
    _migrate(database, lambda: 1, STEPS)

    assert content(database) == before
    assert not (database.parent / "backups").exists()


def test_opening_again_runs_no_step(open_store: Callable[[], Repository], tmp_path: Path) -> None:
    ticks = count()
    open_store().close()
    Repository.open(tmp_path / "data", lambda: next(ticks)).close()

    assert next(ticks) == 0
    assert not (tmp_path / "data" / "backups").exists()
