"""Reading a day and a time as people type them, and saying one."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

from counter.domain.numerals import plainly
from counter.errors import UsageError

NOON = (12, 0)
_YEAR_FIRST = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})")
_DAY_FIRST = re.compile(r"(\d{1,2})\.\s*(\d{1,2})\.\s*(\d{4})")
_CLOCK = re.compile(r"(\d{1,2})[:.](\d{2})")
_SLASHES = re.compile(r"\d+/\d+")
_AHEAD = timedelta(hours=1)


def parse_moment(text: str, field: str, now: datetime) -> datetime:
    """Return the moment that is typed, in the time zone of this machine.

    ``2026-11-25 09:30`` and ``25.11.2026 9:30`` are read; a day alone is its noon, a time alone is
    that of the day of ``now``. Raises :class:`UsageError`, naming ``field``, for anything else and
    for what lies more than an hour after ``now``.
    """
    plain = plainly(text)
    if _SLASHES.search(plain):
        raise UsageError(
            f"The {field} “{plain}” can be read two ways; write the year first, like "
            f"{moment_for_people(now)}."
        )
    day, clock = _parted(plain, field, now)
    local = now.astimezone()
    year, month, date = day or (local.year, local.month, local.day)
    try:
        moment = datetime(year, month, date, *clock).astimezone()
    except (ValueError, OverflowError, OSError):
        raise UsageError(f"The {field} “{plain}” is no day and time; check its digits.") from None
    if moment > now + _AHEAD:
        raise UsageError(f"The {field} “{plain}” lies ahead; check the day and the time.")
    return moment.astimezone(UTC)


def moment_for_people(moment: datetime | None) -> str:
    """Return ``2026-11-25 09:30`` in the time zone of this machine; empty for None."""
    return "" if moment is None else f"{moment.astimezone():%Y-%m-%d %H:%M}"


def _parted(
    plain: str, field: str, now: datetime
) -> tuple[tuple[int, int, int] | None, tuple[int, int]]:
    """Return the day (None: not typed) and the time of day."""
    day, rest = None, plain
    if found := _YEAR_FIRST.match(plain):
        year, month, date = (int(part) for part in found.groups())
        day, rest = (year, month, date), plain[found.end() :]
    elif found := _DAY_FIRST.match(plain):
        date, month, year = (int(part) for part in found.groups())
        day, rest = (year, month, date), plain[found.end() :]
    rest = rest.removeprefix("T").strip(" ,")
    if day is not None and not rest:
        return day, NOON
    clock = _CLOCK.fullmatch(rest)
    if clock is None:
        raise UsageError(
            f"The {field} “{plain}” is not understood; write it like {moment_for_people(now)}."
        )
    return day, (int(clock[1]), int(clock[2]))
