"""Where the records are."""

from __future__ import annotations

from pathlib import Path

from counter.records.place import default_path, folder_of, own_folder


def test_without_a_choice_they_are_in_the_users_data_folder() -> None:
    """An empty variable is no choice."""
    for environment in ({}, {"HINGELINE_RECORDS": " "}):
        path = Path(default_path(environment))
        assert path.name == "hingeline.sqlite"
        assert path.parent.name == "hingeline"


def test_a_chosen_file_folder_or_server_is_taken(tmp_path: Path) -> None:
    """In a folder, the file has its usual name."""
    file = str(tmp_path / "bench-2.sqlite")
    url = "postgresql+psycopg://bench@server/hatchery"
    assert default_path({"HINGELINE_RECORDS": file}) == file
    assert default_path({"HINGELINE_RECORDS": url}) == url
    chosen = default_path({"HINGELINE_RECORDS": str(tmp_path)})
    assert chosen == str(tmp_path / "hingeline.sqlite")


def test_a_tilde_is_the_home_folder() -> None:
    """As everywhere."""
    chosen = default_path({"HINGELINE_RECORDS": "~/records.sqlite"})
    assert chosen == str(Path.home() / "records.sqlite")


def test_what_belongs_beside_the_records_is_in_their_folder(tmp_path: Path) -> None:
    """For records on a server that is the user's own data folder."""
    assert own_folder({"HINGELINE_RECORDS": str(tmp_path / "a.sqlite")}) == tmp_path
    assert folder_of("postgresql+psycopg://bench@server/hatchery") == own_folder({})
