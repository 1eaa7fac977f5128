"""What a practitioner would write instead: OpenCV decodes, the same networks run in onnxruntime, NumPy cuts and averages.

    .venv/bin/pip install onnxruntime==1.32.0
    .venv/bin/python benches/peer.py [PHOTO] [--seepline PROGRAM] [--runs 40]

One thread each, taking turns. The peer's interpreter, imports and sessions are not counted; of ours the whole command is. The
peer does the costly part of a reading only: decoding, one search, two looks and the opinions after them, the grid. It settles
no corners between the looks, judges no pattern and refuses nothing.
"""

import argparse
import pathlib
import tempfile

import cv2
import numpy as np
import onnxruntime

from against_opencv import OURS, SAMPLE, ROOT, twelve_megapixels
from table import ratio, read

CROP, MARGIN = 192, 0.15


def network(name):
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = options.inter_op_num_threads = 1
    session = onnxruntime.InferenceSession(str(ROOT / "src/reading/network" / f"{name}.onnx"), options)
    entry = session.get_inputs()[0].name
    return lambda picture: session.run(None, {entry: picture})


def load():
    return {name: network(name) for name in ("finder", "reader", "film", "seam")}


def planes(picture):
    return np.ascontiguousarray(picture[..., ::-1].transpose(2, 0, 1)[None], np.float32) / 255


def canvas(picture):
    """At a long side of 240 px, centred on grey, both sides multiples of 32."""
    k = 240 / max(picture.shape[:2])
    small = cv2.resize(picture, None, fx=k, fy=k, interpolation=cv2.INTER_AREA)
    height, width = (-(-(side + 16) // 32) * 32 for side in small.shape[:2])
    top, left = (height - small.shape[0]) // 2, (width - small.shape[1]) // 2
    out = np.full((height, width, 3), 128, np.uint8)
    out[top : top + small.shape[0], left : left + small.shape[1]] = small
    return out, k, np.float32([left, top])


def corners(maps, k, offset):
    """Of the largest blob of face, clockwise from the top left."""
    found, _ = cv2.findContours((maps[0] > 0).astype(np.uint8), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    box = cv2.boxPoints(cv2.minAreaRect(max(found, key=cv2.contourArea))) * 4
    box = (box - offset) / k
    angle = np.arctan2(*(box - box.mean(0)).T[::-1])
    return np.float32(box[np.argsort(angle)])


def warped(picture, outline, size, margin):
    width, height = size
    lo, hi = margin, 1 - margin
    to = np.float32([[lo * width, lo * height], [hi * width, lo * height], [hi * width, hi * height], [lo * width, hi * height]])
    return cv2.warpPerspective(picture, cv2.getPerspectiveTransform(outline, to), size, flags=cv2.INTER_AREA)


def reading(photo, nets):
    picture = cv2.imread(str(photo))
    k = 1200 / max(picture.shape[:2])
    picture = cv2.resize(picture, None, fx=k, fy=k, interpolation=cv2.INTER_AREA)
    drawn, k, offset = canvas(picture)
    outline = corners(nets["finder"](planes(drawn))[0][0], k, offset)
    for _ in range(2):
        crop = planes(warped(picture, outline, (CROP, CROP), MARGIN))
        nets["reader"](crop)
    nets["reader"](np.ascontiguousarray(crop[:, :, ::-1, ::-1]))
    nets["film"](crop)
    for view in (crop, np.ascontiguousarray(crop[..., ::-1])):
        nets["seam"](view)
    return np.log10(np.maximum(warped(picture, outline, (96, 128), 0).astype(np.float32) / 255, 1e-3))


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("photo", nargs="?", type=pathlib.Path)
    arguments.add_argument("--seepline", type=pathlib.Path, default=OURS)
    arguments.add_argument("--runs", type=int, default=40)
    given = arguments.parse_args()
    cv2.setNumThreads(1)
    nets = load()
    with tempfile.TemporaryDirectory() as folder:
        photo = given.photo or pathlib.Path(folder) / "photo.jpg"
        if not given.photo:
            photo.write_bytes(twelve_megapixels(SAMPLE))
        found, parts = ratio(read(given.seepline, photo), lambda: reading(photo, nets), given.runs)
        print(f"read, whole command, against OpenCV and onnxruntime  {found:.2f}   ({parts})")


if __name__ == "__main__":
    main()
