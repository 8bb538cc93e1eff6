"""Where the records are: the user's data folder, or where the hatchery chose."""

from __future__ import annotations

import os
from collections.abc import Mapping
from pathlib import Path

import platformdirs

VARIABLE = "HINGELINE_RECORDS"
FILE = "hingeline.sqlite"


def own_folder(environment: Mapping[str, str] = os.environ) -> Path:
    """Return the folder of the hatchery's own ``chambers.toml`` and ``species``.

    It is :func:`folder_of` the records in use.
    """
    return folder_of(default_path(environment))


def folder_of(place: str) -> Path:
    """Return the folder of the records at ``place``, the user's data folder for those on a server.

    What belongs beside the records is kept there: own chambers and species, habits, the log.
    """
    if "://" in place:
        return platformdirs.user_data_path("hingeline", appauthor=False)
    return Path(place).parent


def default_path(environment: Mapping[str, str] = os.environ) -> str:
    """Return the path of the records, or a database URL.

    The environment variable ``HINGELINE_RECORDS`` names a file, a folder (the file is made
    in it) or a URL such as ``postgresql+psycopg://bench@server/hatchery``. Without it: the user's
    data folder.
    """
    chosen = environment.get(VARIABLE, "").strip()
    if not chosen:
        folder = platformdirs.user_data_path("hingeline", appauthor=False)
        return str(folder / FILE)
    if "://" in chosen:
        return chosen
    path = Path(chosen).expanduser()
    return str(path / FILE if path.is_dir() else path)
