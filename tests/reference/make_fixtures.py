"""Makes the values that the tests in this folder compare with, by independent implementations.

    python3 -m venv env
    env/bin/pip install numpy==2.4.6 scipy==1.17.1 scikit-image==0.26.0 \
        opencv-python-headless==5.0.0.93 pillow==13.0.0
    env/bin/python tests/reference/make_fixtures.py

Picture coordinates in the fixtures: pixel centres at half-integers, as in the library; OpenCV and
scikit-image put them at whole numbers, so 0.5 is added or taken away where they are called.
"""

import json
from pathlib import Path

import cv2
import numpy as np
from PIL import Image, ImageOps
from scipy import ndimage
from skimage import color, transform

HERE = Path(__file__).parent / "fixtures"
SQUARE = np.array([[0, 0], [1, 0], [1, 1], [0, 1]], float)


def save(name, value):
    text = json.dumps(value, separators=(",", ":"), default=lambda a: a.tolist())
    (HERE / f"{name}.json").write_text(text.replace('},{"', '},\n{"') + "\n")


def linear_light():
    """Linear light of the 256 stored greys: Y of scikit-image's sRGB to XYZ conversion over white's."""
    stored = np.repeat(np.arange(256, dtype=np.uint8)[None, :, None], 3, axis=2)
    luminance = color.rgb2xyz(stored)[0, :, 1]
    return luminance / luminance[255]


def greys():
    save("greys", linear_light().round(9))


def stains():
    """Density of haematoxylin beside neutral shade, per colour; the third direction is what neither
    explains. scikit-image takes logarithms to the base 1e-6: six times that is base-10 density."""
    haematoxylin = np.array([0.65, 0.70, 0.29])  # Ruifrok & Johnston 2001
    h = haematoxylin / np.linalg.norm(haematoxylin)
    shade = np.ones(3) / np.sqrt(3)
    rest = np.cross(h, shade)
    conversion = np.linalg.inv(np.array([h, shade, rest / np.linalg.norm(rest)]))
    rgb = np.random.default_rng(1).uniform(0.02, 1.0, (1, 24, 3)).round(4)
    density = 6 * color.separate_stains(rgb, conversion)[0, :, 0]
    save("stains", [{"rgb": c, "haematoxylin": d} for c, d in zip(rgb[0], density.round(6))])


def homographies():
    """Both of the reference values, by the library that gave them, and 20 at random by OpenCV."""
    cases = [([[0, 0], [0, 50], [300, 50], [300, 0]],
              [[155, 15], [65, 40], [260, 130], [360, 95]], [150, 25]),
             ([[56, 65], [368, 52], [389, 390], [28, 387]],
              [[0, 0], [300, 0], [300, 300], [0, 300]], [200, 200])]
    rng = np.random.default_rng(2)
    for _ in range(20):
        wobble = lambda: SQUARE + rng.uniform(-0.25, 0.25, (4, 2))
        cases.append((wobble() * 300, wobble() * [4000, 3000] + 100, rng.uniform(0, 300, 2)))
    out = []
    for k, (a, b, p) in enumerate(cases):
        a, b = np.array(a, float).round(3), np.array(b, float).round(3)
        p = np.array(p, float).round(3)
        if k == 0:
            mapped = transform.ProjectiveTransform.from_estimate(a, b)(p[None])[0]
        else:
            m = cv2.getPerspectiveTransform(a.astype(np.float32), b.astype(np.float32))
            mapped = cv2.perspectiveTransform(p[None, None], m)[0, 0]
        out.append({"from": a, "to": b, "point": p, "mapped": mapped.round(4)})
    save("homographies", out)


def overlaps():
    """Intersection over union of convex outlines, by OpenCV."""
    rng, out = np.random.default_rng(3), []
    while len(out) < 20:
        a, b = (SQUARE + rng.uniform(-0.3, 0.3, (4, 2)) + rng.uniform(-0.5, 0.5, 2) for _ in "ab")
        a, b = (a * 100).round(2).astype(np.float32), (b * 100).round(2).astype(np.float32)
        if not (cv2.isContourConvex(a) and cv2.isContourConvex(b)):
            continue
        shared, _ = cv2.intersectConvexConvex(a, b)
        either = cv2.contourArea(a) + cv2.contourArea(b) - shared
        out.append({"a": a.round(2).astype(float).round(2), "b": b.astype(float).round(2),
                    "overlap": round(shared / either, 6)})
    save("overlaps", out)


class Cylinder:
    """A face 40 mm long seen by a pinhole camera; projected by OpenCV."""

    def __init__(self, half_angle_deg, turn, size=(1200, 900), focal_35mm=28.0, away=95.0, convex=False):
        self.theta, self.radius = np.radians(half_angle_deg), 15 / np.sin(np.radians(half_angle_deg))
        self.sign, self.size, self.focal_35mm = (-1 if convex else 1), size, focal_35mm
        f = focal_35mm * np.hypot(*size) / np.hypot(24, 36)
        self.camera = np.array([[f, 0, size[0] / 2], [0, f, size[1] / 2], [0, 0, 1]])
        self.turn, self.shift = np.radians(np.array(turn, float)), np.array([0.0, 0.0, away])

    def points(self, s, x):
        """Picture points at s of the length and x of the arc (arrays)."""
        phi = self.theta * (2 * x - 1)
        depth = self.sign * self.radius * (np.cos(phi) - np.cos(self.theta))
        solid = np.stack([self.radius * np.sin(phi), 40 * (s - 0.5), depth], -1).reshape(-1, 3)
        flat, _ = cv2.projectPoints(solid, self.turn, self.shift, self.camera, None)
        return flat.reshape(np.shape(s) + (2,))

    def face(self):
        at = lambda s, x: self.points(np.array(float(s)), np.array(float(x)))
        return {"corners": [at(0, 0), at(0, 1), at(1, 1), at(1, 0)], "tip_middle": at(0, 0.5),
                "base_middle": at(1, 0.5), "size": self.size, "focal_35mm": self.focal_35mm}


VIEWS = [dict(half_angle_deg=8, turn=(25, -20, 10)), dict(half_angle_deg=16, turn=(0, 40, 95)),
         dict(half_angle_deg=35, turn=(-35, 5, -170)), dict(half_angle_deg=50, turn=(30, 30, 40), away=120),
         dict(half_angle_deg=20, turn=(30, -25, 0), convex=True),
         dict(half_angle_deg=25, turn=(-20, 30, 15), size=(3000, 4000), focal_35mm=52.0, away=170)]


def cylinders():
    s, x = (a.ravel() for a in np.meshgrid(np.linspace(0, 1, 5), np.linspace(0, 1, 9), indexing="ij"))
    save("cylinders", [{**(c := Cylinder(**v)).face(), "s": s, "x": x, "points": c.points(s, x)}
                       for v in VIEWS])


def pattern(width, height):
    """A smooth coloured picture; the tests make the same one from the same formula."""
    y, x = np.mgrid[0:height, 0:width] + 0.5
    wave = lambda a, b, c: 128 + 100 * np.sin(a * x + b * y + c)
    rgb = np.stack([wave(0.031, 0.017, 0.3), wave(-0.013, 0.029, 1.1), wave(0.021, -0.023, 2.0)], -1)
    return np.floor(rgb + 0.5).astype(np.uint8)


def warps():
    """The pattern through a homography onto 12 × 16 cells, bilinear: scikit-image and OpenCV."""
    picture = pattern(64, 48) / 255.0
    corners = np.array([[8.2, 5.1], [57.3, 9.4], [52.6, 43.9], [4.7, 39.2]])
    to_picture = transform.ProjectiveTransform.from_estimate(SQUARE * [16, 12], corners)
    rows, cols = np.mgrid[0:12, 0:16] + 0.5
    places = to_picture(np.stack([cols.ravel(), rows.ravel()], 1)) - 0.5
    by_skimage = transform.warp(
        picture, lambda rc: to_picture(rc + 0.5) - 0.5, output_shape=(12, 16), order=1)
    grid = places.reshape(12, 16, 2).astype(np.float32)
    by_opencv = cv2.remap(picture.astype(np.float32), grid[..., 0], grid[..., 1], cv2.INTER_LINEAR)
    save("warps", {"corners": corners, "skimage": by_skimage.round(6), "opencv": by_opencv.astype(float).round(6)})


def rectified():
    """Linear light in cells of the 128 × 96 grid: the mean of 24 × 24 bilinear samples per cell, at
    places projected by OpenCV."""
    cylinder = Cylinder(half_angle_deg=25, turn=(25, -20, 10), away=75.0)
    picture = linear_light()[pattern(*cylinder.size)]
    cells = []
    for r, c in np.random.default_rng(4).integers(0, (128, 96), (40, 2)):
        k = (np.arange(24) + 0.5) / 24
        s, x = np.meshgrid((r + k) / 128, (c + k) / 96, indexing="ij")
        px = cylinder.points(s, x).reshape(-1, 2).T[::-1] - 0.5
        light = [ndimage.map_coordinates(picture[..., i], px, order=1).mean() for i in range(3)]
        cells.append({"cell": [r, c], "linear_rgb": np.array(light).round(6)})
    save("rectified", {**cylinder.face(), "cells": cells})


def components():
    """Number of connected regions of a mask, and the size of the region of each cell, by SciPy."""
    mask = np.random.default_rng(5).uniform(size=(14, 20)) < 0.52
    out = {"mask": mask.astype(int)}
    for name, shape in (("four", None), ("eight", np.ones((3, 3)))):
        labels, count = ndimage.label(mask, shape)
        sizes = np.bincount(labels.ravel())
        sizes[0] = 0
        out[name] = {"count": count, "size_at": sizes[labels]}
    save("components", out)


def orientations():
    """A 72 × 40 picture of coloured blocks under each EXIF orientation, and the colours at the middles
    of 8 × 8 blocks after Pillow has turned it upright."""
    rng = np.random.default_rng(6)
    blocks = rng.integers(30, 226, (5, 9, 3)).astype(np.uint8)
    picture = Image.fromarray(np.kron(blocks, np.ones((8, 8, 1), np.uint8)))
    out = []
    for orientation in range(1, 9):
        exif = Image.Exif()
        exif[0x0112] = orientation
        path = HERE / f"orientation_{orientation}.jpg"
        picture.save(path, quality=97, subsampling=0, exif=exif)
        upright = np.asarray(ImageOps.exif_transpose(Image.open(path)))
        out.append({"size": [upright.shape[1], upright.shape[0]], "blocks": upright[4::8, 4::8]})
    save("orientations", out)


if __name__ == "__main__":
    HERE.mkdir(exist_ok=True)
    for make in (greys, stains, homographies, overlaps, cylinders, warps, rectified, components, orientations):
        make()
