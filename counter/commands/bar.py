"""A progress bar on standard error, when that is a terminal."""

from __future__ import annotations

import sys
from types import TracebackType

from tqdm import tqdm

WIDEST = 40


class Bar:
    """A :class:`~counter.domain.progress.Progress` that draws a bar, or nothing if none is seen."""

    def __init__(self) -> None:
        self._bar = tqdm(
            total=1.0,
            file=sys.stderr,
            disable=True if sys.stderr is None else None,
            leave=False,
            bar_format="{percentage:3.0f} % |{bar:24}| {desc}",
        )

    def report(self, fraction: float, what: str = "") -> None:
        """Draw ``fraction`` of the bar and say what is under way."""
        self._bar.set_description_str(what[-WIDEST:], refresh=False)
        self._bar.update(max(0.0, min(1.0, fraction) - self._bar.n))

    def __enter__(self) -> Bar:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self._bar.close()
