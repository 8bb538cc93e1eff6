"""The sample pictures that ship beside the program, each with its truth.

Every picture is drawn from its settings and seed, so that the files can be made again at any time:
``python -m counter.imaging.draw sample_images``.
"""

from __future__ import annotations

from dataclasses import dataclass

from counter.imaging.draw.gauge import MicrometerSettings, draw_micrometer
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import (
    Camera,
    Contrast,
    Group,
    Kind,
    Light,
    Rulings,
    RulingStyle,
    SceneSettings,
)
from counter.imaging.draw.truth import Scene

_QUIET = Camera(blur_px=0.8, shot_noise=0.004, read_noise=0.0015)


@dataclass(frozen=True, slots=True)
class SamplePicture:
    """A sample picture: its file's name, what it shows, and one or more pages to draw."""

    file: str
    shows: str
    target: str
    pages: tuple[SceneSettings | MicrometerSettings, ...]
    seed: int

    @property
    def um_per_px(self) -> float:
        """The scale of its pages."""
        return self.pages[0].um_per_px

    @property
    def truth_file(self) -> str:
        """The name of the file with its truth."""
        return self.file.split(".", 1)[0] + ".truth.json"

    def draw(self) -> tuple[Scene, ...]:
        """Draw its pages."""
        return tuple(
            draw_micrometer(page, self.seed)
            if isinstance(page, MicrometerSettings)
            else draw_scene(page, self.seed + number)
            for number, page in enumerate(self.pages)
        )


SAMPLES: tuple[SamplePicture, ...] = (
    SamplePicture(
        "d-hinge-field.png",
        "D-hinge larvae of the second day, a little debris and feed algae",
        "larvae",
        (
            SceneSettings(
                960,
                720,
                1.3,
                (
                    Group(Kind.D_HINGE, 21, (62.0, 74.0)),
                    Group(Kind.ON_SIDE, 2, (63.0, 72.0)),
                    Group(Kind.DEBRIS, 5, (12.0, 45.0)),
                    Group(Kind.ALGA, 16),
                ),
                camera=_QUIET,
            ),
        ),
        2101,
    ),
    SamplePicture(
        "umbo-on-rulings.jpg",
        "umbo larvae on the 1 mm squares of a Sedgewick-Rafter chamber with scratched grooves",
        "larvae",
        (
            SceneSettings(
                1240,
                930,
                2.05,
                (
                    Group(Kind.UMBO, 17, (130.0, 215.0)),
                    Group(Kind.DEBRIS, 6, (20.0, 90.0)),
                    Group(Kind.ALGA, 14, (6.0, 14.0)),
                    Group(Kind.BUBBLE, 1, (90.0, 110.0)),
                ),
                rulings=Rulings(
                    1000.0, 34.0, 3.5, (260.0, 310.0), RulingStyle.BRIGHT_GROOVES, 0.55
                ),
                camera=Camera(shot_noise=0.008),
            ),
        ),
        2202,
    ),
    SamplePicture(
        "eyed-larvae.jpg",
        "eyed larvae and pediveligers ready to set, one empty shell, a fibre",
        "larvae",
        (
            SceneSettings(
                1280,
                960,
                1.9,
                (
                    Group(Kind.EYED, 10),
                    Group(Kind.PEDIVELIGER, 4),
                    Group(Kind.EMPTY_SHELL, 1, (180.0, 190.0)),
                    Group(Kind.DEBRIS, 5, (25.0, 100.0)),
                    Group(Kind.FIBRE, 1, (500.0, 700.0)),
                ),
                light=Light(colour=(0.82, 0.80, 0.72), uneven=0.22, vignette=0.18),
                camera=Camera(shot_noise=0.010),
            ),
        ),
        2303,
    ),
    SamplePicture(
        "eggs-amber.png",
        "eggs and first cleavages in an iodine-tinted drop",
        "eggs",
        (
            SceneSettings(
                820,
                620,
                0.95,
                (
                    Group(Kind.EGG, 12),
                    Group(Kind.POLAR_BODY, 8),
                    Group(Kind.TWO_CELLS, 5),
                    Group(Kind.FOUR_CELLS, 3),
                    Group(Kind.EIGHT_CELLS, 2),
                    Group(Kind.DEBRIS, 4, (8.0, 24.0)),
                ),
                light=Light(colour=(0.86, 0.72, 0.47), uneven=0.15),
                camera=_QUIET,
            ),
        ),
        2404,
    ),
    SamplePicture(
        "crowded.jpg",
        "a drop that is too dense: D-hinge and young umbo larvae that touch and overlap",
        "larvae",
        (
            SceneSettings(
                1180,
                880,
                1.24,
                (
                    Group(Kind.D_HINGE, 44),
                    Group(Kind.UMBO, 12, (108.0, 140.0)),
                    Group(Kind.DEBRIS, 8, (12.0, 60.0)),
                    Group(Kind.CILIATE, 2),
                    Group(Kind.BUBBLE, 1, (70.0, 90.0)),
                ),
                crowding=0.6,
                overlap=0.04,
                apart_um=4.0,
                defocus_um=6.0,
                light=Light(uneven=0.3),
            ),
        ),
        2505,
    ),
    SamplePicture(
        "dark-field.png",
        "umbo larvae in dark field",
        "larvae",
        (
            SceneSettings(
                1000,
                760,
                1.6,
                (
                    Group(Kind.UMBO, 13, (115.0, 190.0)),
                    Group(Kind.DEBRIS, 5, (15.0, 60.0)),
                    Group(Kind.ALGA, 14),
                ),
                light=Light(Contrast.DARK_FIELD, (0.030, 0.036, 0.050), 0.3, 0.2),
                camera=_QUIET,
            ),
        ),
        2606,
    ),
    SamplePicture(
        "round-field.jpg",
        "D-hinge larvae through an eyepiece: a round field of view with black corners",
        "larvae",
        (
            SceneSettings(
                1200,
                900,
                1.4,
                (
                    Group(Kind.D_HINGE, 24),
                    Group(Kind.EMPTY_SHELL, 2),
                    Group(Kind.DEBRIS, 5, (12.0, 60.0)),
                    Group(Kind.ALGA, 12),
                ),
                light=Light(colour=(0.83, 0.82, 0.72), uneven=0.18, vignette=0.3, round_field=0.72),
            ),
        ),
        2707,
    ),
    SamplePicture(
        "two-fields.ome.tif",
        "two fields of D-hinge larvae on two pages, 16-bit grey, with the scale in its metadata",
        "larvae",
        tuple(
            SceneSettings(
                540,
                410,
                1.5,
                (Group(Kind.D_HINGE, count), Group(Kind.ALGA, 5)),
                camera=Camera(shot_noise=0.004, read_noise=0.0015, bits=16, colour=False),
            )
            for count in (9, 12)
        ),
        2808,
    ),
    SamplePicture(
        "stage-micrometer.png",
        "a stage micrometer, 1 mm in 100 parts, through the lens of crowded.jpg",
        "calibration",
        (
            MicrometerSettings(
                1180,
                880,
                1.24,
                angle_deg=6.5,
                camera=Camera(0.8, 0.004, 0.0015, colour=False),
            ),
        ),
        2909,
    ),
)
