"""The JSON of a count: the contract's names, types and example numbers."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

import pytest

from counter.domain.edges import EdgeRule
from counter.domain.field import PictureField
from counter.domain.mark import Mark
from counter.domain.picture import Picture
from counter.domain.proposed import Proposal
from counter.domain.ruled import RuledGrid
from counter.domain.sample import Filling, Sample
from counter.domain.scale import Scale
from counter.exporting.document import count_document
from tests.hatchery import CHAMBER, LARVAE, WELL, mark

NUMBER = (int, float)
SHAPE: dict[str, Any] = {
    "format": str,
    "version": str,
    "target": str,
    "species": str,
    "chamber": str,
    "edges": str,
    "fields": [
        {
            "file": str,
            "width_px": int,
            "height_px": int,
            "um_per_px": NUMBER,
            "scale_source": str,
            "area_mm2": NUMBER,
            "volume_ul": NUMBER,
            "count": int,
            "larvae": [
                {
                    "x_px": NUMBER,
                    "y_px": NUMBER,
                    "length_um": NUMBER,
                    "width_um": NUMBER,
                    "area_um2": NUMBER,
                    "stage": str,
                    "counted": bool,
                    "score": NUMBER,
                    "outline_px": list,
                }
            ],
            "warnings": [str],
        }
    ],
    "failed": [{"file": str, "reason": str}],
    "estimate": {
        "counted": int,
        "volume_counted_ml": NUMBER,
        "density_per_ml": NUMBER,
        "dilution_factor": NUMBER,
        "vessel_ml": NUMBER,
        "total": NUMBER,
        "low": NUMBER,
        "high": NUMBER,
        "confidence": NUMBER,
        "method": str,
        "dispersion": type(None),
    },
    "stages": [
        {"stage": str, "counted": int, "total": NUMBER, "low": NUMBER, "high": NUMBER},
    ],
    "sizes_um": {
        "measured": int,
        "mean": NUMBER,
        "sd": NUMBER,
        "p10": NUMBER,
        "median": NUMBER,
        "p90": NUMBER,
    },
    "warnings": [str],
}


def as_text(document: dict[str, Any]) -> str:
    """The document as JSON; what is not finite is refused, as it is when it is written."""
    return json.dumps(document, allow_nan=False)


def check(value: Any, shape: Any, where: str = "") -> None:
    """Assert that ``value`` has every key of ``shape`` with its type, all the way down."""
    if isinstance(shape, dict):
        assert isinstance(value, dict), where
        for key, inner in shape.items():
            assert key in value, f"{where}.{key} is missing"
            check(value[key], inner, f"{where}.{key}")
    elif isinstance(shape, list):
        assert isinstance(value, list), where
        for index, entry in enumerate(value):
            check(entry, shape[0], f"{where}[{index}]")
    else:
        assert isinstance(value, shape), f"{where}: {value!r}"


def twelve() -> Sample:
    """Return the contract's example: 12 in 7.75 mm² of a 1 mm deep chamber, from 20 L."""
    marks = {i: mark(i, length_um=66.0 + i) for i in range(1, 13)}
    scale = Scale(1.24, "given")
    shown = Picture("field-01.png", 0, 2592, 1944, scale, 7.75, ("Some of it is dark.",))
    field = PictureField(1, shown, marks)
    return Sample(LARVAE, CHAMBER, vessel_ml=20_000.0, fillings=(Filling(1, (field,)),))


def test_every_key_of_the_contract_has_its_type() -> None:
    """Scripts drive the tool through these names."""
    document = count_document(twelve(), [("broken.jpg", "is empty")], ["Look twice."])
    check(json.loads(as_text(document)), SHAPE)


def test_the_contracts_own_numbers_come_out() -> None:
    """12 in 0.00775 mL of a 20 L vessel: 1548.4 per mL and 30 967 741.9, Garwood 16.0 to 54.1
    million (hingeline-count/1, the example)."""
    document = count_document(twelve())
    estimate = document["estimate"]
    assert estimate["volume_counted_ml"] == pytest.approx(0.00775)
    assert estimate["density_per_ml"] == pytest.approx(1548.4, abs=0.05)
    assert estimate["total"] == pytest.approx(30_967_741.9, abs=0.05)
    assert estimate["low"] == pytest.approx(16_001_000, rel=1e-4)
    assert estimate["high"] == pytest.approx(54_093_000, rel=1e-4)
    assert estimate["method"] == "poisson-exact"
    assert document["fields"][0]["count"] == 12
    assert document["fields"][0]["volume_ul"] == pytest.approx(7.75)
    assert document["fields"][0]["warnings"] == ["Some of it is dark."]
    assert document["sizes_um"]["median"] == pytest.approx(72.5)


def test_what_the_edge_rule_leaves_out_is_listed_and_not_counted() -> None:
    """A body that crosses the right border: counted with top-right, not with top-left."""
    outline = ((2585.0, 50.0), (2591.5, 50.0), (2591.5, 60.0), (2585.0, 60.0))
    cut = Mark(13, 2588.0, 55.0, outline, 8.0, 8.0, 50.0, "d-hinge", flags=frozenset({"cut"}))
    base = twelve()
    (field,) = base.picture_fields()
    field = replace(field, marks={**field.marks, 13: cut})
    sample = replace(base, fillings=(Filling(1, (field,)),))
    left = count_document(sample)["fields"][0]
    right = count_document(replace(sample, edges=EdgeRule.TOP_RIGHT))
    assert (left["count"], len(left["larvae"])) == (12, 13)
    assert [entry["counted"] for entry in left["larvae"]] == [True] * 12 + [False]
    assert right["fields"][0]["count"] == 13
    assert right["sizes_um"]["measured"] == 12


def test_without_a_vessel_there_is_a_density_and_a_warning() -> None:
    """``total`` is null; ``density_per_ml`` always stands."""
    document = count_document(replace(twelve(), vessel_ml=None))
    assert document["estimate"]["total"] is None
    assert document["estimate"]["density_per_ml"] == pytest.approx(1548.4, abs=0.05)
    assert any("vessel" in said for said in document["warnings"])


def test_none_found_is_not_none() -> None:
    """A zero count has an upper limit, sizes are null, and all of it is JSON."""
    base = twelve()
    (field,) = base.picture_fields()
    empty = replace(base, fillings=(Filling(1, (replace(field, marks={}),)),))
    document = json.loads(as_text(count_document(empty)))
    assert document["estimate"]["counted"] == 0
    assert document["estimate"]["total"] == 0
    assert document["estimate"]["high"] > 0
    assert document["sizes_um"] == {
        "measured": 0,
        "mean": None,
        "sd": None,
        "p10": None,
        "median": None,
        "p90": None,
        "mean_limits": [None, None],
        "p10_limits": [None, None],
        "median_limits": [None, None],
        "p90_limits": [None, None],
        "corrected": None,
        "cohorts": None,
    }


def test_nothing_counted_at_all_is_still_a_document() -> None:
    """Where every picture failed, the failures are what there is."""
    document = json.loads(as_text(count_document(replace(twelve(), fillings=()), [("a", "b")])))
    assert document["fields"] == []
    assert document["estimate"]["density_per_ml"] is None
    assert document["failed"] == [{"file": "a", "reason": "b"}]


def test_a_whole_volume_field_has_no_volume_of_its_own() -> None:
    """Only the aliquot as a whole is known."""
    base = twelve()
    sample = replace(base, chamber=WELL, fillings=(replace(base.fillings[0], aliquot_ul=250.0),))
    document = count_document(sample)
    assert document["fields"][0]["volume_ul"] is None
    assert document["estimate"]["volume_counted_ml"] == pytest.approx(0.25)


def test_each_larva_has_its_square_and_the_rulings_their_say() -> None:
    """Row and column on the chamber's rulings, and a warning where these contradict the scale."""
    base = twelve()
    (field,) = base.picture_fields()
    grid = RuledGrid(2592, 1944, 0.0, 500.0, 0.5, 9, upright_px=25.0, level_px=10.0)
    shown = replace(field, picture=replace(field.picture, grid=grid))
    sample = replace(base, fillings=(Filling(1, (shown,)),))
    found = json.loads(as_text(count_document(sample)))["fields"][0]
    assert found["larvae"][0]["square"] == [2, 2]
    rulings = found["rulings"]
    assert rulings["um_per_px"] == pytest.approx(2.0)
    assert rulings["standard_error"] == pytest.approx(0.002)
    assert len(rulings["whole_squares"]) == 15
    assert rulings["whole_squares"][0] == {"square": [2, 2], "count": 12}
    assert "The rulings say 2 µm per pixel, the scale given 1.24" in found["warnings"][-1]
    squares = count_document(sample)["ruled_squares"]
    assert (squares["squares"], squares["degrees_of_freedom"]) == (15, 14)
    assert squares["chi2"] == pytest.approx((12 - 0.8) ** 2 / 0.8 + 14 * 0.8)
    assert squares["index"] == pytest.approx(squares["chi2"] / 14)


def test_rulings_of_a_chamber_without_one_period_say_nothing() -> None:
    """Nobody knows which of its squares were found; without rulings both are null."""
    base = twelve()
    (field,) = base.picture_fields()
    without = count_document(base)["fields"][0]
    assert without["rulings"] is None
    assert count_document(base)["ruled_squares"] is None
    assert without["larvae"][0]["square"] is None
    grid = RuledGrid(2592, 1944, 0.0, 500.0, 0.5, 9, upright_px=25.0, level_px=10.0)
    shown = replace(field, picture=replace(field.picture, grid=grid))
    chamber = replace(CHAMBER, ruling_um=None)
    ambiguous = replace(base, chamber=chamber, fillings=(Filling(1, (shown,)),))
    assert count_document(ambiguous)["fields"][0] == without


def test_a_state_comes_with_its_confidence_and_who_says_so() -> None:
    """Proposed by the machine, said by a person (which stands first), or nothing."""
    base = twelve()
    (field,) = base.picture_fields()
    marks = dict(field.marks)
    marks[1] = replace(marks[1], proposal=Proposal("dead", 0.92, "", True, 0.9))
    marks[2] = replace(marks[2], proposal=Proposal("dead", 0.92), state="live")
    marks[3] = replace(marks[3], proposal=Proposal(reason="small"))
    sample = replace(base, fillings=(Filling(1, (replace(field, marks=marks),)),))
    one, two, three, four = count_document(sample)["fields"][0]["larvae"][:4]
    keys = ("state", "state_score", "state_by", "eye_spot", "eye_spot_score")
    assert [one[key] for key in keys] == ["dead", 0.92, "proposed", True, 0.9]
    assert [two[key] for key in keys] == ["live", 1.0, "technician", None, None]
    assert [three[key] for key in keys] == [four[key] for key in keys] == [None] * 5
    assert count_document(sample)["state_shares"] == []


def test_the_share_of_the_dead_says_what_it_rests_on() -> None:
    """The same numbers as on the screen."""
    base = twelve()
    (field,) = base.picture_fields()
    marks = {
        key: replace(mark, proposal=Proposal("dead" if key < 4 else "live", 0.98))
        for key, mark in field.marks.items()
    }
    sample = replace(base, fillings=(Filling(1, (replace(field, marks=marks),)),))
    (share,) = count_document(sample)["state_shares"]
    assert (share["state"], share["counted"], share["of"]) == ("dead", 3, 12)
    assert share["basis"] == "proposed"
    assert 0 < share["low"] < share["share"] == 0.25 < share["high"] < 1


def test_pictures_and_squares_of_a_filling_are_compared_in_the_json() -> None:
    """As the working says it; null where there is nothing to compare."""
    assert count_document(twelve())["among_squares"] is None
    one = next(twelve().picture_fields())
    few = replace(one, field_id=2, marks={k: m for k, m in one.marks.items() if k < 4})
    sample = replace(twelve(), fillings=(Filling(1, (one, few)),))
    found = count_document(sample)["among_squares"]
    assert found["squares"] == 2
    assert found["chi2"] == pytest.approx(2 * 4.5**2 / 7.5)
    assert found["agreement"] == "clumped"
