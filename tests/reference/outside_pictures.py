"""Prints, as JSON lines, what Pillow makes of every file below a folder: upright size and mean colour over
middle grey, or null where it opens nothing. For tests/pipeline/outside.rs; nothing of it is kept here.

    python outside_pictures.py DIR > expected.jsonl

Tried with Python 3.11, pillow 12.0.0, numpy 2.2.6. A file cut short is null.
"""

import json
import pathlib
import sys

import numpy as np
from PIL import Image, ImageOps


def opened(path):
    with Image.open(path) as picture:
        if getattr(picture, "n_frames", 1) > 1:
            picture.seek(0)
        picture.load()
        upright = ImageOps.exif_transpose(picture)
    if upright.mode.startswith("I;16") or upright.mode == "I":
        upright = Image.fromarray((np.asarray(upright).astype(np.uint32) >> 8).astype(np.uint8))
    upright = upright.convert("RGBA")
    over = Image.new("RGBA", upright.size, (128, 128, 128))
    over.alpha_composite(upright)
    return over.convert("RGB")


def seen(path):
    try:
        picture = opened(path)
    except Exception:
        return None
    mean = np.asarray(picture, dtype=np.float64).mean((0, 1))
    return {"size": list(picture.size), "mean": [round(v, 2) for v in mean.tolist()]}


def main():
    folder = pathlib.Path(sys.argv[1])
    for path in sorted(p for p in folder.rglob("*") if p.is_file()):
        print(json.dumps({"file": path.relative_to(folder).as_posix(), "pillow": seen(path)}))


if __name__ == "__main__":
    main()
