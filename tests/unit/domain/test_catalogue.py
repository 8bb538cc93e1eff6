"""Chambers and species, ours and the hatchery's own, and what is said of a bad file."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from counter.domain.catalogue import chamber, chambers, species, species_list
from counter.errors import CounterError, UsageError

OWN_CHAMBER = """
[moor-farm-tray]
name = "Tray of Moor Farm"
diameter_mm = 40.0
depth_mm = 2.0
certified_ul = 2500.0
squares = [{ name = "quarter", area_mm2 = 314.0 }]

[palmer-maloney]
name = "Our certified cell"
area_mm2 = 200.0
depth_mm = 0.4
"""

OWN_SPECIES = """
name = "Eastern oyster, our line"
latin = "Crassostrea virginica"
larva = { low_um = 50, high_um = 390 }
egg = { low_um = 40, high_um = 85 }
stages = [
    { stage = "d-hinge", from_um = 0 },
    { stage = "umbo", from_um = 110.5, source = "our own measurements" },
]
"""


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """A hatchery's own folder."""
    (tmp_path / "chambers.toml").write_text(OWN_CHAMBER, encoding="utf-8")
    (tmp_path / "species").mkdir()
    (tmp_path / "species" / "eastern-oyster.toml").write_text(OWN_SPECIES, encoding="utf-8")
    (tmp_path / "species" / "notes.txt").write_text("not a species", encoding="utf-8")
    return tmp_path


def test_a_hatcherys_own_chamber_is_added(own: Path) -> None:
    """Its own chambers stand beside ours; the area of a disc comes from its diameter."""
    tray = chamber("moor-farm-tray", own)
    assert tray.area_mm2 == pytest.approx(math.pi * 20**2)
    assert tray.volume_ul == 2500.0
    assert tray.squares[0].area_mm2 == 314.0
    assert "sedgewick-rafter" in chambers(own)


def test_a_hatcherys_own_entry_stands_over_ours(own: Path) -> None:
    """The same key replaces what ships; without the folder ours is untouched."""
    assert chamber("palmer-maloney", own).name == "Our certified cell"
    assert chamber("palmer-maloney").name == "Palmer-Maloney"
    assert species("eastern-oyster", own).stage_of(109) == "d-hinge"
    assert species("eastern-oyster", own).stages[0].source == "the hatchery's own file"
    assert set(species_list(own)) == set(species_list())


def test_a_folder_that_is_not_there_holds_nothing_of_its_own(tmp_path: Path) -> None:
    """A hatchery without own files has what ships."""
    assert chambers(tmp_path / "nowhere") == chambers()
    assert species_list(tmp_path / "nowhere") == species_list()


def test_an_unknown_key_lists_what_there_is() -> None:
    """The error names what can be chosen."""
    with pytest.raises(UsageError, match="improved-neubauer"):
        chamber("bathtub")
    with pytest.raises(UsageError, match="bay-scallop"):
        species("kraken")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[a\nname =", "not valid TOML"),
        ("a = 3", "a must be a table"),
        ("[a]\nname = 3", "a, name must be a text"),
        ('[a]\ndepth_mm = 1.0\narea_mm2 = "x"', "a, area_mm2 must be a number"),
        ("[a]\ndepth_mm = 1.0\narea_mm2 = true", "a, area_mm2 must be a number"),
        ("[a]\ndepth_mm = 1.0\narea_mm2 = -3", "a, area_mm2 must be a number above 0"),
        ("[a]\ndepth_mm = 1.0\narea_mm2 = inf", "a, area_mm2 must be a number above 0"),
        ('[a]\nname = "A"\narea_mm2 = 3', "a, depth_mm and the area belong together"),
        ('[a]\nname = "A"\nlength_mm = 3', "a, length_mm and width_mm belong together"),
        ('[a]\nname = "A"\narea_mm2 = 3\ndiameter_mm = 3', "more than one way"),
        ('[a]\nname = "A"\ndeepth_mm = 3', "a, deepth_mm is not known here"),
        ('[a]\nname = "A"\nsquares = 3', "a, squares must be a list"),
        ('[a]\nname = "A"\nsquares = [{ name = "s" }]', "a, squares number 1, area_mm2 is missing"),
        ("[a]\n", "a, name is missing"),
    ],
)
def test_a_bad_chamber_file_is_named_with_its_field(tmp_path: Path, text: str, said: str) -> None:
    """The error says which file and which field, and what it must be."""
    (tmp_path / "chambers.toml").write_text(text, encoding="utf-8")
    with pytest.raises(CounterError) as caught:
        chambers(tmp_path)
    assert "chambers.toml" in str(caught.value)
    assert said in str(caught.value)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("low_um = 50", "low_um = 500", "larva, high_um must be above low_um"),
        ("from_um = 110.5", "from_um = 0", "stages must grow"),
        ("from_um = 110.5", "from_um = -1", "stages number 2, from_um must be a number of 0"),
        ('"umbo"', '"d-hinge"', "name a stage twice"),
        ('"umbo"', '" "', "stages number 2, stage must be a text"),
        ("stages = [", "stagges = [", "stages are missing"),
        ("egg =", "eggs =", "egg is missing"),
        ("latin =", "latin_name =", "latin is missing"),
    ],
)
def test_a_bad_species_file_is_named_with_its_field(
    own: Path, old: str, new: str, said: str
) -> None:
    """The error says which file and which field, and what it must be."""
    file = own / "species" / "eastern-oyster.toml"
    file.write_text(OWN_SPECIES.replace(old, new), encoding="utf-8")
    with pytest.raises(CounterError) as caught:
        species_list(own)
    assert "eastern-oyster.toml" in str(caught.value)
    assert said in str(caught.value)


def test_a_file_that_is_not_text_is_refused(tmp_path: Path) -> None:
    """A file saved in another encoding is named."""
    (tmp_path / "chambers.toml").write_bytes(b"name = \xff\xfe")
    with pytest.raises(CounterError, match="not plain text"):
        chambers(tmp_path)


def test_a_file_that_cannot_be_opened_is_refused(tmp_path: Path) -> None:
    """A folder where a file should be is named."""
    (tmp_path / "chambers.toml").mkdir()
    with pytest.raises(CounterError, match="cannot be read"):
        chambers(tmp_path)
