"""What is said where earlier corrections took part in what was found."""

from __future__ import annotations

from counter.domain.sample import Sample


def adjusted_notes(sample: Sample) -> tuple[str, ...]:
    """Return one sentence where scores were adjusted by what a lens was taught; else nothing."""
    pictures = [field.picture for field in sample.picture_fields()]
    most = max((picture.adjusted_by for picture in pictures), default=0)
    if not most:
        return ()
    number = sum(picture.adjusted_by > 0 for picture in pictures)
    lens = f"the lens “{sample.lens}”" if sample.lens else "the same lens"
    where = "" if number == len(pictures) else f" on {number} of {len(pictures)} pictures"
    made = "1 correction" if most == 1 else f"{most} corrections"
    return (f"The finder's scores{where} were adjusted by {made} made before with {lens}.",)
