"""What a drawn scene shows: every knob of the renderer, as frozen values with units."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from counter.domain.scale import checked_um_per_px
from counter.errors import UsageError


class Kind(StrEnum):
    """What can lie on a drawn slide: what is counted first, then what is not."""

    EGG = "egg"
    POLAR_BODY = "egg-polar-body"
    TWO_CELLS = "egg-2-cells"
    FOUR_CELLS = "egg-4-cells"
    EIGHT_CELLS = "egg-8-cells"
    TROCHOPHORE = "trochophore"
    D_HINGE = "d-hinge"
    UMBO = "umbo"
    EYED = "eyed"
    PEDIVELIGER = "pediveliger"
    ON_SIDE = "larva-on-side"
    EMPTY_SHELL = "empty-shell"
    OPEN_SHELL = "open-shell"
    DEBRIS = "debris"
    ALGA = "alga"
    CILIATE = "ciliate"
    BUBBLE = "bubble"
    FIBRE = "fibre"


EGGS = (Kind.EGG, Kind.POLAR_BODY, Kind.TWO_CELLS, Kind.FOUR_CELLS, Kind.EIGHT_CELLS)
LARVAE = (
    Kind.TROCHOPHORE,
    Kind.D_HINGE,
    Kind.UMBO,
    Kind.EYED,
    Kind.PEDIVELIGER,
    Kind.ON_SIDE,
    Kind.EMPTY_SHELL,
    Kind.OPEN_SHELL,
)
LITTER = (Kind.DEBRIS, Kind.ALGA, Kind.CILIATE, Kind.BUBBLE, Kind.FIBRE)

# Usual lengths (maximum Feret diameter) in µm of the eastern oyster and of what swims beside it:
# shared practice of the trade for the larvae, from memory for the litter.
USUAL_LENGTH_UM: dict[Kind, tuple[float, float]] = {
    **dict.fromkeys(EGGS, (46.0, 54.0)),
    Kind.TROCHOPHORE: (54.0, 64.0),
    Kind.D_HINGE: (64.0, 78.0),
    Kind.UMBO: (115.0, 235.0),
    Kind.EYED: (278.0, 298.0),
    Kind.PEDIVELIGER: (302.0, 330.0),
    Kind.ON_SIDE: (66.0, 78.0),
    Kind.EMPTY_SHELL: (66.0, 80.0),
    Kind.OPEN_SHELL: (90.0, 130.0),
    Kind.DEBRIS: (12.0, 160.0),
    Kind.ALGA: (4.0, 14.0),
    Kind.CILIATE: (35.0, 110.0),
    Kind.BUBBLE: (15.0, 180.0),
    Kind.FIBRE: (200.0, 900.0),
}


class Contrast(StrEnum):
    """How the microscope makes a clear body visible."""

    BRIGHT_FIELD = "bright-field"
    DARK_FIELD = "dark-field"
    PHASE = "phase"


class RulingStyle(StrEnum):
    """Rulings as thin dark lines, or as wide grooves that shine in the middle."""

    DARK_LINES = "dark-lines"
    BRIGHT_GROOVES = "bright-grooves"


@dataclass(frozen=True, slots=True)
class Group:
    """``count`` objects of one kind with lengths (µm) spread evenly over ``length_um``.

    ``length_um`` is None for the kind's usual lengths (:data:`USUAL_LENGTH_UM`).
    """

    kind: Kind
    count: int
    length_um: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        if self.count < 0:
            raise UsageError(f"A count of {self.count} {self.kind} is impossible; 0 is the least.")
        low, high = self.lengths_um
        if not 0 < low <= high:
            raise UsageError(
                f"Lengths from {low:g} to {high:g} µm make no sense; give the shorter one first."
            )

    @property
    def lengths_um(self) -> tuple[float, float]:
        """The shortest and the longest length in µm."""
        return self.length_um or USUAL_LENGTH_UM[self.kind]


@dataclass(frozen=True, slots=True)
class Light:
    """The lamp and the field of view.

    ``colour`` is the empty background as red, green, blue from 0 to 1. ``uneven`` is how much of
    the light is missing at the darkest place (0 to 1, a slanting lamp). ``vignette`` is how much is
    missing in the corners (0 to 1). ``round_field`` is the diameter of a round field of view as a
    share of the picture's longer side, None for a full picture; outside of it the picture is black.
    """

    contrast: Contrast = Contrast.BRIGHT_FIELD
    colour: tuple[float, float, float] = (0.80, 0.80, 0.77)
    uneven: float = 0.12
    vignette: float = 0.08
    round_field: float | None = None


@dataclass(frozen=True, slots=True)
class Camera:
    """The camera and the file.

    ``blur_px`` is the standard deviation of the sharpest possible point. ``shot_noise`` and
    ``read_noise`` are standard deviations as shares of full white: the first at full white
    (falling with the root of the light), the second everywhere. ``jpeg_quality`` (1 to 100) softens
    the picture as a JPEG file of that quality does; None leaves it. ``bits`` is 8 or 16.
    """

    blur_px: float = 0.7
    shot_noise: float = 0.012
    read_noise: float = 0.004
    jpeg_quality: int | None = None
    bits: int = 8
    colour: bool = True

    def __post_init__(self) -> None:
        if self.bits not in (8, 16):
            raise UsageError(f"A camera of {self.bits} bits cannot be drawn; give 8 or 16.")


@dataclass(frozen=True, slots=True)
class Rulings:
    """Two families of parallel lines at right angles, or one (``crossed`` False).

    ``offset_um`` moves the lines along both axes; ``strength`` is 0 (unseen) to 1.
    """

    period_um: float = 1000.0
    width_um: float = 9.0
    angle_deg: float = 0.0
    offset_um: tuple[float, float] = (0.0, 0.0)
    style: RulingStyle = RulingStyle.DARK_LINES
    strength: float = 0.6
    crossed: bool = True


@dataclass(frozen=True, slots=True)
class SceneSettings:
    """One picture.

    ``crowding`` is the share of the counted objects that lie against a neighbour (0 to 1);
    ``overlap`` is how far two such neighbours reach into one another, as a share of the smaller
    one's length. ``apart_um`` is the least gap between all others. ``defocus_um`` is the standard
    deviation of the height over or under the focus. ``keep_inside`` keeps whole every object.
    ``beyond_um`` lets middles lie so far outside the picture too, as on a slide that goes on: what
    does not reach into the picture is then missing in the truth, so that it may hold fewer objects
    than the population. With 0 the middle of every object is in the picture.
    """

    width_px: int = 1600
    height_px: int = 1200
    um_per_px: float = 1.24
    population: tuple[Group, ...] = (Group(Kind.D_HINGE, 24),)
    light: Light = Light()
    camera: Camera = Camera()
    rulings: Rulings | None = None
    crowding: float = 0.0
    overlap: float = 0.05
    apart_um: float = 8.0
    defocus_um: float = 3.0
    keep_inside: bool = False
    beyond_um: float = 0.0

    def __post_init__(self) -> None:
        checked_um_per_px(self.um_per_px)
        if self.width_px < 16 or self.height_px < 16:
            raise UsageError(
                f"A picture of {self.width_px} × {self.height_px} px is too small to draw; "
                "16 × 16 px is the least."
            )
