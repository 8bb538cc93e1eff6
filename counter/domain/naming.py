"""What the pictures of a sample are called: their names, and folders where names agree."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

from counter.domain.field import PictureField
from counter.domain.picture import Picture


def picture_names(fields: Iterable[PictureField]) -> Mapping[int, str]:
    """Return each picture's name by ``field_id``.

    Pictures of one name in different folders get as many of their folders as tell them apart, so
    “monday/1.jpg” and “tuesday/1.jpg”; pictures of one file stay alike but for their page.
    """
    alike: dict[str, list[PictureField]] = defaultdict(list)
    for field in fields:
        alike[field.picture.name].append(field)
    names: dict[int, str] = {}
    for name, same in alike.items():
        parts = {field.picture.file: _parts(field.picture) for field in same}
        deep = _told_apart(list(parts.values()))
        for field in same:
            folders = parts[field.picture.file][:-1]
            names[field.field_id] = "/".join((*folders[max(0, len(folders) - deep) :], name))
    return names


def _parts(picture: Picture) -> list[str]:
    return picture.file.replace("\\", "/").removeprefix("./").split("/")


def _told_apart(paths: list[list[str]]) -> int:
    """Return how many folders from the end on tell these paths apart, one or none being enough."""
    deepest = max(len(path) for path in paths)
    for deep in range(deepest):
        if len({tuple(path[-1 - deep :]) for path in paths}) == len(paths):
            return deep
    return deepest - 1
