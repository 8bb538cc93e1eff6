"""Writes drawn pictures to files: PNG, JPEG, OME-TIFF, each sample beside its truth."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import tifffile
from PIL import Image

from counter.errors import CounterError
from counter.imaging.draw.samples import SAMPLES, SamplePicture
from counter.imaging.draw.truth import Scene, as_json

_JPEG_QUALITY = 90


def write_samples(folder: Path, samples: tuple[SamplePicture, ...] = SAMPLES) -> list[Path]:
    """Draw ``samples`` into ``folder``, each beside its truth; return the pictures' paths.

    Files of the same name are written anew. Raises :class:`CounterError` where the folder cannot
    be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        return [_write(folder, sample) for sample in samples]
    except OSError as error:
        raise CounterError(
            f"The sample pictures cannot be written to {folder} ({error.strerror}); "
            "choose a folder that can be written."
        ) from error


def _write(folder: Path, sample: SamplePicture) -> Path:
    scenes = sample.draw()
    path = folder / sample.file
    write_picture(path, scenes)
    truth = truth_json(sample, scenes)
    (folder / sample.truth_file).write_text(json.dumps(truth) + "\n", encoding="utf-8")
    return path


def truth_json(sample: SamplePicture, scenes: tuple[Scene, ...]) -> Mapping[str, Any]:
    """Return what the truth file of a sample holds."""
    return {
        "file": sample.file,
        "shows": sample.shows,
        "target": sample.target,
        "seed": sample.seed,
        "pages": [as_json(scene) for scene in scenes],
    }


def write_picture(path: Path, scenes: tuple[Scene, ...]) -> None:
    """Write scenes to a PNG or JPEG file (the first one), or as pages of an OME-TIFF."""
    if path.suffix == ".tif":
        _write_ome(path, scenes)
    elif path.suffix == ".png":
        Image.fromarray(scenes[0].pixels).save(path, optimize=True)
    else:
        Image.fromarray(scenes[0].pixels).save(path, quality=_JPEG_QUALITY, subsampling=0)


_OME = """<?xml version="1.0" encoding="UTF-8"?>
<OME xmlns="http://www.openmicroscopy.org/Schemas/OME/2016-06">\
<Image ID="Image:0" Name="{name}"><Pixels ID="Pixels:0" DimensionOrder="XYZCT" Type="uint16" \
SizeX="{width}" SizeY="{height}" SizeZ="1" SizeC="1" SizeT="{pages}" \
PhysicalSizeX="{scale}" PhysicalSizeXUnit="µm" PhysicalSizeY="{scale}" PhysicalSizeYUnit="µm">\
<Channel ID="Channel:0:0" SamplesPerPixel="1"/><TiffData PlaneCount="{pages}"/>\
</Pixels></Image></OME>"""


def _write_ome(path: Path, scenes: tuple[Scene, ...]) -> None:
    """Grey 16-bit pages with their scale, without the time or the random number of a writer."""
    pages = np.stack([scene.pixels for scene in scenes])
    header = _OME.format(
        name=path.name.split(".", 1)[0],
        width=pages.shape[2],
        height=pages.shape[1],
        pages=len(pages),
        scale=scenes[0].um_per_px,
    )
    with tifffile.TiffWriter(path) as writer:
        for number, page in enumerate(pages):
            writer.write(
                page,
                description=header.encode() if number == 0 else None,
                metadata=None,
                photometric="minisblack",
                compression="zlib",
                predictor=True,
                software=False,
            )
