"""Writes photos/* and photos.json: small pictures in every kind that phones and shops send, with their
upright size and mean colours as Pillow and libheif read them.

Made with Python 3.11, numpy 2.4.6, opencv-python-headless 5.0.0.93 (for 16-bit PNG), pillow 13.0.0,
pillow-heif 1.8.1 (libheif 1.23.6), and jpegtran of libjpeg-turbo 2.1.5 (for the scan script). Run it in
this folder: python make_photos.py
"""

import json
import subprocess
from pathlib import Path

import cv2
import numpy as np
import pillow_heif
from PIL import Image, ImageOps

pillow_heif.register_heif_opener()
OUT = Path("photos")
CELLS = 4  # mean colours are given for 4 x 4 cells


def scene(width, height):
    """Smooth, and different in every corner, so that no turn or mirroring goes unnoticed."""
    x, y = np.meshgrid(np.linspace(0, 1, width), np.linspace(0, 1, height))
    red = 40 + 170 * x
    green = 60 + 120 * y
    blue = 200 - 150 * x * y - 30 * np.sin(6 * x)
    return np.stack([red, green, blue], -1)


def picture(width=96, height=64):
    return Image.fromarray(scene(width, height).round().astype(np.uint8))


def exif(orientation):
    notes = Image.Exif()
    notes[0x0112] = orientation
    notes[0x0132] = "2026:03:05 08:00:00"
    notes.get_ifd(0x8769).update({0x9003: "2026:03:04 10:11:12", 0xA405: 26})
    notes.get_ifd(0x8825).update({1: "N", 2: (10.0, 20.0, 30.0)})
    return notes


def write():
    small = picture()
    for n in range(1, 9):
        small.save(OUT / f"turned-{n}.jpg", quality=85, exif=exif(n))
        small.save(OUT / f"turned-{n}.png", optimize=True, exif=exif(n))
    small.save(OUT / "turned-6.webp", quality=80, exif=exif(6))
    for name, sampling in (("444", 0), ("422", 1), ("420", 2)):
        small.save(OUT / f"sampled-{name}.jpg", quality=85, subsampling=sampling)
    small.save(OUT / "restarts.jpg", quality=85, restart_marker_blocks=3)
    small.save(OUT / "plain-rgb.jpg", quality=85, keep_rgb=True)
    small.save(OUT / "progressive.jpg", quality=85, progressive=True)
    small.convert("L").save(OUT / "grey.jpg", quality=85)
    small.convert("CMYK").save(OUT / "cmyk.jpg", quality=85)
    picture(100, 60).save(OUT / "odd-size.jpg", quality=85)
    for eighths, size in ((2, (4000, 144)), (3, (2816, 128)), (4, (2000, 128)), (5, (1600, 128))):
        picture(*size).save(OUT / f"large-{eighths}.jpg", quality=40, optimize=True)
    write_scan_script()
    write_png(small)
    small.save(OUT / "lossless.webp", lossless=True)
    frames = [small, ImageOps.invert(small)]
    frames[0].save(OUT / "animated.webp", save_all=True, append_images=frames[1:], duration=100, quality=80)
    small.save(OUT / "sampled-420.heic", quality=80)
    small.save(OUT / "sampled-444.heic", quality=80, chroma=444)
    small.save(OUT / "noted-6.heic", quality=80, chroma=444, exif=exif(6))
    small.save(OUT / "turned-6.heic", quality=80, chroma=444, exif=exif(6).tobytes())


def write_scan_script():
    """One scan per component, as T.81 allows for sequential coding."""
    script = OUT / "scans.txt"
    script.write_text("0;\n1;\n2;\n")
    command = ["jpegtran", "-scans", script, "-outfile", OUT / "scan-each.jpg", OUT / "odd-size.jpg"]
    subprocess.run(command, check=True)
    script.unlink()


def write_png(small):
    wide = (scene(48, 32) * 257).round().astype(np.uint16)
    cv2.imwrite(str(OUT / "deep.png"), wide[..., ::-1])
    cv2.imwrite(str(OUT / "deep-grey.png"), wide[..., 1])
    small.quantize(16).save(OUT / "palette.png")
    small.convert("L").save(OUT / "grey.png")
    see_through = small.copy()
    see_through.putalpha(Image.linear_gradient("L").resize(small.size))
    see_through.save(OUT / "see-through.png")


def opened(path):
    image = Image.open(path)
    image.seek(0)
    if path.name == "deep-grey.png":
        return Image.fromarray((np.asarray(image) / 257).round().astype(np.uint8)).convert("RGB")
    image = ImageOps.exif_transpose(image)
    if image.mode == "RGBA":
        return Image.alpha_composite(Image.new("RGBA", image.size, (128, 128, 128)), image).convert("RGB")
    return image.convert("RGB")


def cells(image):
    pixels = np.asarray(image, dtype=float)
    rows = np.array_split(pixels, CELLS, axis=0)
    means = [cell.mean((0, 1)) for row in rows for cell in np.array_split(row, CELLS, axis=1)]
    return [[round(float(v), 2) for v in mean] for mean in means]


def main():
    OUT.mkdir(exist_ok=True)
    write()
    rows = {p.name: opened(p) for p in sorted(OUT.iterdir())}
    values = {name: {"size_px": image.size, "cells": cells(image)} for name, image in rows.items()}
    lines = ",\n".join(f'"{name}": {json.dumps(value)}' for name, value in values.items())
    Path("photos.json").write_text("{\n" + lines + "\n}\n")


main()
