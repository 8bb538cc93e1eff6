"""How far a lens is with learning, in one or two sentences."""

from __future__ import annotations

from dataclasses import dataclass

from counter.imaging.relearn import Learnt

NO_LENS = "No lens is chosen, so nothing is learnt from the corrections of this sample."
NO_NETWORK = (
    "Nothing is learnt from corrections, because the learned finder's file cannot be read; "
    "install the program again."
)


@dataclass(frozen=True, slots=True)
class Told:
    """What a person is told.

    ``corrections`` are those that teach the finder that is installed, or taught an earlier one.
    ``is_on`` is the switch, ``is_used`` whether it makes a difference now, ``can_forget`` whether
    there is anything to forget.
    """

    words: str
    corrections: int = 0
    is_on: bool = True
    is_used: bool = False
    can_forget: bool = False


def in_words(found: Learnt, earlier: int, is_on: bool, can_forget: bool) -> Told:
    """Return what is told of what a lens was taught.

    ``earlier`` corrections taught another version of the finder, and are not used by this one.
    """
    is_used = is_on and found.rescorer is not None
    words = _words(found, is_on)
    if earlier:
        words += f" {_corrections(earlier)} taught another version of the finder and rest."
    return Told(words, found.corrections + earlier, is_on, is_used, can_forget)


def _words(found: Learnt, is_on: bool) -> str:
    made = f"{_corrections(found.corrections)} with this lens"
    if found.rescorer is None:
        if not found.examples:
            return f"Nothing learnt with this lens yet: {found.why}."
        return f"{made}, not used yet: {found.why}."
    tried = (
        f"tried on fields that it had not learnt from, {found.after} of {found.before} wrong "
        "decisions are left"
    )
    return f"Learnt from {made}{'' if is_on else ', switched off'}: {tried}."


def _corrections(number: int) -> str:
    return "1 correction" if number == 1 else f"{number} corrections"
