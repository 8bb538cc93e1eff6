"""Stages are told by letter, dashes and colour, never by colour alone."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtGui import QColor, QPalette

from counter.domain.catalogue import species_list
from counter.domain.species import TargetKind, target_of
from counter.gui.style import (
    is_dark,
    problem_colour,
    quiet_colour,
    stage_looks,
    stage_name,
    stages_of,
)


@given(st.lists(st.text(max_size=6), max_size=26))
def test_no_two_stages_share_a_letter(stages: list[str]) -> None:
    """Up to 26 stages each have a letter of their own, whatever they are called."""
    looks = stage_looks(stages)
    letters = [look.letter for look in looks.values()]
    assert len(set(letters)) == len(letters)


def test_the_stages_of_every_species_differ_in_dashes_and_colour() -> None:
    """Within a species no look is used twice."""
    for species in species_list().values():
        looks = stage_looks(stages_of(target_of(species, TargetKind.LARVAE))).values()
        assert len({look.dashes for look in looks}) == len(looks)
        assert len({look.colour for look in looks}) == len(looks)


def test_the_eastern_oysters_letters_are_its_initials() -> None:
    """T, D, U, E, P: what a technician would write."""
    stages = stages_of(target_of(species_list()["eastern-oyster"], TargetKind.LARVAE))
    assert "".join(look.letter for look in stage_looks(stages).values()) == "TDUEP"
    assert stage_name("d-hinge") == "D-hinge"


def contrast(one: QColor, other: QColor) -> float:
    """The contrast ratio of WCAG 2.2, success criterion 1.4.3."""

    def luminance(colour: QColor) -> float:
        parts = []
        for value in (colour.redF(), colour.greenF(), colour.blueF()):
            parts.append(value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4)
        return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]

    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_problems_and_quiet_words_are_readable_on_light_and_dark() -> None:
    """At least 4.5 to 1 (WCAG 2.2, 1.4.3) on either ground."""
    for ground, ink, dark in (("#efefef", "#000000", False), ("#2b2f33", "#ffffff", True)):
        palette = QPalette()
        palette.setColor(QPalette.ColorRole.Window, QColor(ground))
        palette.setColor(QPalette.ColorRole.WindowText, QColor(ink))
        assert is_dark(palette) is dark
        assert contrast(problem_colour(palette), QColor(ground)) >= 4.5
        assert contrast(quiet_colour(palette), QColor(ground)) >= 4.5
