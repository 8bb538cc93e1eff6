"""What a lens learns from five corrected fields: ``python -m tests.benchmarks.learning``.

A simulated technician counts six fields of an invented hatchery through one lens, removes what is
no larva, adds what was missed and says of each field that it was looked through. The sixth is
counted as the finder ships and with what the first five taught. Then other, plain slides are
counted with what the odd hatcheries taught, to see the harm where it does not belong.
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import cv2
import numpy as np
from numpy.random import default_rng

from counter.counting import CountSettings, count_photo
from counter.domain import catalogue
from counter.domain.field import PictureField
from counter.domain.progress import Silent
from counter.domain.scale import Lens
from counter.domain.species import TargetKind, target_of
from counter.imaging import gestures
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import SceneSettings
from counter.imaging.draw.truth import Scene, TruthObject
from counter.imaging.photo import Photo
from counter.imaging.prospects import survey
from counter.imaging.rescore import Rescorer
from counter.records.store import Store
from counter.session import Session
from counter.session.learning import Learning
from tests.benchmarks.hatcheries import ODD, OTHER_DAYS, PLAIN, Maker

FIELDS = 5
LARVAE = target_of(catalogue.species("eastern-oyster"), TargetKind.LARVAE)
CHAMBER = catalogue.chamber("sedgewick-rafter")


@dataclass(frozen=True, slots=True)
class Slide:
    """A drawn field with its truth."""

    scene: Scene
    photo: Photo

    @classmethod
    def drawn(cls, settings: SceneSettings, seed: int) -> Slide:
        scene = draw_scene(settings, seed)
        return cls(scene, Photo(scene.pixels, f"field-{seed}.png").with_scale(scene.um_per_px))

    def counted(self, rescorer: Rescorer | None) -> PictureField:
        lens = Lens("bench", self.scene.um_per_px, 1e-3, date(2031, 5, 6), *self._size)
        settings = CountSettings(LARVAE, CHAMBER, lens=lens, rescorer=rescorer)
        return count_photo(self.photo, settings, Silent())

    @property
    def _size(self) -> tuple[int, int]:
        return self.photo.width_px, self.photo.height_px

    def wrong(self, field: PictureField) -> tuple[list[int], list[TruthObject]]:
        """Marks that are no larva, and whole larvae that have no mark."""
        spare, left = [], list(self.scene.larvae)
        for mark in field.marks.values():
            near = [(self._apart(mark.x_px, mark.y_px, larva), larva) for larva in left]
            share, larva = min(near, key=lambda each: each[0], default=(1.0, None))
            if larva is None or share > 0.5:
                spare.append(mark.mark_id)
            else:
                left.remove(larva)
        return spare, [larva for larva in left if not larva.is_cut]

    def _apart(self, x_px: float, y_px: float, larva: TruthObject) -> float:
        """How far a place is from a larva, in lengths of it."""
        apart_px = float(np.hypot(x_px - larva.x_px, y_px - larva.y_px))
        return apart_px * self.scene.um_per_px / larva.length_um

    def corrections(self, rescorer: Rescorer | None) -> int:
        """How many gestures a technician needs after a count with ``rescorer``."""
        spare, missed = self.wrong(self.counted(rescorer))
        return len(spare) + len(missed)


@dataclass(frozen=True, slots=True)
class Run:
    """One hatchery with one seed: corrections on each field as it was counted, learning as it goes.

    ``before`` and ``after`` are those on one more field, as the finder ships and after the rest.
    """

    along: tuple[int, ...]
    before: int
    after: int
    rescorer: Rescorer | None


def run(maker: Maker, seed: int, fields: int = FIELDS) -> Run:
    """Correct ``fields`` fields, then count one more both ways."""
    store = Store(":memory:")
    session = Session.start(
        store, target=LARVAE, chamber=CHAMBER, name="bench", lens="bench", who="technician"
    )
    learning = Learning(store)
    slides = [_slide(maker, seed, number) for number in range(fields + 1)]
    along = tuple(_correct(slide, session, learning) for slide in slides[:-1])
    rescorer = learning.rescorer("bench", LARVAE)
    store.close()
    last = slides[-1]
    return Run(along, last.corrections(None), last.corrections(rescorer), rescorer)


def _slide(maker: Maker, seed: int, number: int) -> Slide:
    rng = default_rng([seed, number, *maker.__name__.encode()])
    return Slide.drawn(maker(rng), int(rng.integers(2**31)))


def _correct(slide: Slide, session: Session, learning: Learning) -> int:
    """Count a field with what was learnt so far, put it right, and let it teach."""
    rescorer = learning.rescorer("bench", LARVAE)
    (field_id,) = session.add_picture_fields([slide.counted(rescorer)])
    field = next(f for f in session.sample.picture_fields() if f.field_id == field_id)
    spare, missed = slide.wrong(field)
    session.remove_marks(field_id, spare)
    for larva in missed:
        mark = gestures.mark_at(slide.photo, LARVAE, larva.x_px, larva.y_px)
        session.add_mark(field_id, mark)
    session.set_reviewed(field_id)
    for entry in learning.to_survey(session):
        learning.take(session, entry.field_id, survey(slide.photo, LARVAE, Silent()))
    return len(spare) + len(missed)


def _mean(values: Sequence[float]) -> str:
    """The mean with the standard deviation between seeds."""
    spread = float(np.std(values, ddof=1)) if len(values) > 1 else 0.0
    return f"{np.mean(values):5.2f} ±{spread:5.2f}"


def table(seeds: int, makers: Sequence[Maker]) -> dict[str, list[Run]]:
    """Run each hatchery and print a line for it: mean ± standard deviation between seeds."""
    runs = {}
    for maker in makers:
        done = runs[maker.__name__] = [run(maker, seed) for seed in range(seeds)]
        along = "  ".join(
            f"{np.mean([each.along[n] for each in done]):4.1f}" for n in range(FIELDS)
        )
        used = sum(each.rescorer is not None for each in done)
        print(
            f"{maker.__name__:20} {along}   {_mean([each.before for each in done])}  "
            f"{_mean([each.after for each in done])}   {used}/{seeds}",
            flush=True,
        )
    return runs


def harm(rescorers: Sequence[Rescorer], seeds: int) -> None:
    """Count plain slides with what odd hatcheries taught, and print the corrections needed."""
    print("\nPlain slides: corrections on a field, as shipped and with what each lens had learnt")
    for maker in (*PLAIN, *OTHER_DAYS):
        slides = [_slide(maker, 1000 + seed, 0) for seed in range(seeds)]
        before = sum(slide.corrections(None) for slide in slides)
        larvae = sum(len(slide.scene.larvae) for slide in slides)
        after = [sum(slide.corrections(each) for slide in slides) for each in rescorers]
        print(
            f"{maker.__name__:20} {larvae} larvae on {seeds} fields: {before} as shipped; "
            f"mean {np.mean(after):.2f}, worst {max(after)} of {len(after)} lenses",
            flush=True,
        )


def main() -> None:
    """Print both tables."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=4, help="runs of each hatchery (default: 4)")
    seeds = parser.parse_args().seeds
    cv2.setNumThreads(1)
    print("Corrections needed on fields 1 to 5 (learning as they go), then on a sixth")
    print(f"{'hatchery':20} {'1     2     3     4     5':30}  as shipped     learnt      used")
    odd = table(seeds, ODD)
    table(seeds, PLAIN)
    every = [each for runs in odd.values() for each in runs]
    print(
        f"{'all odd ones':20} {'':28}   {_mean([each.before for each in every])}  "
        f"{_mean([each.after for each in every])}"
    )
    worse = sum(each.after > each.before for each in every)
    print(f"runs that needed more corrections than before: {worse} of {len(every)}")
    first = [runs[0].rescorer for runs in odd.values() if runs[0].rescorer is not None]
    harm([each for each in first if each is not None], seeds)


if __name__ == "__main__":
    main()
