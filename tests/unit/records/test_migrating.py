"""Migrations: forward in one step with a copy before, or not at all."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import create_mock_engine
from sqlalchemy.exc import OperationalError

from counter.errors import CounterError
from counter.records.files import copies_folder
from counter.records.migrating import HEAD, Migrations, revision_of
from counter.records.opening import opened
from counter.records.schema import METADATA
from counter.records.store import Store
from tests.hatchery import started

NEXT = """
import sqlalchemy as sa
from alembic import op

revision = "9999"
down_revision = "{head}"
branch_labels = None
depends_on = None


def upgrade():
    with op.batch_alter_table("sample") as table:
        table.add_column(sa.Column("note", sa.Text, nullable=False, server_default="none yet"))
    {then}
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Records of this program with one sample."""
    made = tmp_path / "log.sqlite"
    store = Store(made)
    store.new_sample(started())
    store.close()
    shutil.rmtree(copies_folder(made))
    return made


def newer(tmp_path: Path, then: str = "") -> Migrations:
    """The migrations of a program with one revision more."""
    folder = tmp_path / "migrations"
    shutil.copytree(Migrations().folder, folder)
    script = NEXT.format(head=HEAD, then=then)
    (folder / "versions" / "r9999_next.py").write_text(script, encoding="utf-8")
    return Migrations(folder, "9999")


def columns(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as connection:
        return [row[1] for row in connection.execute("PRAGMA table_info(sample)")]


def notes(path: Path) -> list[tuple[str, str]]:
    with closing(sqlite3.connect(path)) as connection:
        return list(connection.execute("SELECT name, note FROM sample"))


def test_head_is_the_last_migration_of_the_package() -> None:
    """Otherwise a new migration would never run; there is one line of revisions."""
    config = Config()
    config.set_main_option("script_location", str(Migrations().folder))
    config.set_main_option("path_separator", "os")
    scripts = ScriptDirectory.from_config(config)
    assert scripts.get_heads() == [HEAD]
    numbers = [script.revision for script in scripts.walk_revisions()]
    assert numbers == sorted(numbers, reverse=True)


def test_the_migrations_make_the_tables_that_the_program_uses(tmp_path: Path) -> None:
    """Columns, types, keys and indexes: no difference to the schema."""
    engine, _, _ = opened(tmp_path / "log.sqlite")
    with engine.connect() as connection:
        context = MigrationContext.configure(
            connection, opts={"compare_type": True, "compare_server_default": True}
        )
        assert compare_metadata(context, METADATA) == []
        assert revision_of(connection) == HEAD
    engine.dispose()


def test_the_tables_are_possible_on_a_postgresql_server() -> None:
    """The schema holds nothing that only SQLite understands."""
    statements: list[str] = []

    def note(statement: object, *_: object, **__: object) -> None:
        compiled = statement.compile(dialect=engine.dialect)  # type: ignore[attr-defined]
        statements.append(str(compiled))

    engine = create_mock_engine("postgresql+psycopg://", note)
    METADATA.create_all(engine, checkfirst=False)
    assert sum("CREATE TABLE" in statement for statement in statements) == len(METADATA.tables)
    assert any("TIMESTAMP WITH TIME ZONE" in statement for statement in statements)


def test_older_records_are_copied_and_brought_up(path: Path, tmp_path: Path) -> None:
    """The copy is what was there before; the records keep everything."""
    engine, _, notices = opened(path, newer(tmp_path))
    engine.dispose()
    assert notices == ()
    assert notes(path) == [("tank 3, day 6", "none yet")]
    (before,) = copies_folder(path).glob(f"log-before-9999-was-{HEAD}-*.sqlite")
    assert "note" not in columns(before)


def test_a_migration_that_fails_leaves_the_records_as_they_were(path: Path, tmp_path: Path) -> None:
    """All of a migration or nothing of it."""
    with pytest.raises(OperationalError, match="no_such_table"):
        opened(path, newer(tmp_path, 'op.execute("DELETE FROM no_such_table")'))
    assert "note" not in columns(path)
    store = Store(path)
    assert store.samples()[0].name == "tank 3, day 6"
    store.close()


def test_a_migration_that_breaks_a_link_is_taken_back(path: Path, tmp_path: Path) -> None:
    """What points to nothing would be refused at the next write."""
    broken = newer(tmp_path, 'op.execute("UPDATE sample SET tank_id = 77")')
    with pytest.raises(CounterError, match="points to what is not there"):
        opened(path, broken)
    assert "note" not in columns(path)


def test_records_that_cannot_be_copied_are_not_migrated(path: Path, tmp_path: Path) -> None:
    """No copy, no migration."""
    copies_folder(path).write_text("in the way", encoding="utf-8")
    with pytest.raises(CounterError, match="cannot be opened"):
        opened(path, newer(tmp_path))
    assert "note" not in columns(path)


def test_records_of_a_newer_program_are_refused_and_left_alone(path: Path, tmp_path: Path) -> None:
    """With a sentence that says what to install."""
    engine, _, _ = opened(path, newer(tmp_path))
    engine.dispose()
    raw = path.read_bytes()
    with pytest.raises(CounterError, match=r"newer version of Hingeline \(revision 9999"):
        Store(path)
    assert path.read_bytes() == raw


def test_somebody_elses_database_is_refused_and_left_alone(tmp_path: Path) -> None:
    """A SQLite file with other tables is not ours to change."""
    path = tmp_path / "stamps.sqlite"
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("CREATE TABLE stamp (country TEXT)")
    with pytest.raises(CounterError, match="something other than records"):
        Store(path)
    with closing(sqlite3.connect(path)) as connection:
        names = [name for (name,) in connection.execute("SELECT name FROM sqlite_master")]
    assert names == ["stamp"]
    assert not copies_folder(path).exists()
