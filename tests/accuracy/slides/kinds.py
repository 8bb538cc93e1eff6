"""The kinds of slide on which the finder is measured blind."""

from __future__ import annotations

import zlib
from collections.abc import Mapping

from tests.accuracy.slides.slide import Slide, SlideSettings, draw_slide


def _kinds() -> dict[str, SlideSettings]:
    new = SlideSettings
    umbo: Mapping[str, int] = {"umbo": 14}
    dense = {"flake": 60, "alga": 150, "fibre": 3, "bubble": 4, "ciliate": 4}
    return {
        "d-hinge": new(),
        "umbo": new(umbo),
        "eyed": new({"eyed": 8}, um_per_px=1.8),
        "with foot": new({"pediveliger": 7}, um_per_px=1.8, foot=True),
        "on their side": new({"on-side": 14}),
        "empty shells": new({"empty": 7, "umbo": 7}),
        "eggs": new({"egg": 40}, target="eggs", tint=(0.75, 0.7, 0.95)),
        "mixed": new({"d-hinge": 10, "umbo": 8, "eyed": 2}),
        "bubbles": new(dirt={"bubble": 10, "flake": 6, "alga": 30}),
        "debris": new(dirt={"flake": 60, "alga": 120}),
        "fibres": new({"umbo": 10}, {"fibre": 6, "alga": 30}),
        "ciliates": new({"umbo": 8}, {"ciliate": 12, "alga": 30}),
        "ghosts": new(dirt={"ghost": 12, "alga": 30}),
        "round view": new({"umbo": 9, "d-hinge": 6}, round_view=True),
        "dark field": new({"umbo": 10, "d-hinge": 6}, light="dark"),
        "phase": new({"umbo": 12}, light="phase"),
        "thin rulings": new({"d-hinge": 16}, rulings=("thin", 250)),
        "grooves": new({"umbo": 16}, um_per_px=2.0, rulings=("grooves", 1000)),
        "crowded": new({"umbo": 60}, clumped=0.3),
        "touching": new({"d-hinge": 30}, clumped=0.7),
        "overlapped": new({"umbo": 16}, clumped=0.5, overlapped=0.5),
        "out of focus": new({"d-hinge": 10, "umbo": 8}, blur_um=5),
        "uneven light": new({"umbo": 12}, uneven=0.7),
        "tinted": new({"umbo": 12}, tint=(0.6, 0.7, 1.0)),
        "noisy": new(noise=0.04),
        "moved": new(umbo, moved_px=5),
        "JPEG blocks": new(jpeg_quality=25),
        "12 bits in 16": new(bits=16),
        "scale bar": new({"umbo": 10}, scale_bar=True),
        "coarse pixels": new({"umbo": 40}, um_per_px=3.0, width_px=1000, height_px=760),
        "fine pixels": new({"d-hinge": 15}, um_per_px=0.5, width_px=2000, height_px=1500),
        "dirt alone": new({}, dense),
    }


KINDS: Mapping[str, SlideSettings] = _kinds()


def slide_of(kind: str, seed: int) -> Slide:
    """Draw the slide of ``kind`` with this number; another kind's differs also in its chances."""
    return draw_slide(KINDS[kind], zlib.crc32(f"{kind} {seed}".encode()))
