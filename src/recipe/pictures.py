"""pictures.py SOURCES OUT [NAME ...]: shrinks photographs of others to train and judge on, and lays captured light beside them.

SOURCES holds one folder per source of `pictures.toml`, named like it and already
fetched (a repository's files, or a package's laid open); a source that is missing is
reported and passed over. Writes OUT/<role>/<source>/NNNNN.jpg: upright, long side
640 px, quality 88, no metadata. With NAMEs only those sources are made anew.

Left out: what does not decode, what is smaller than 200 px, cut-outs, drawings and screenshots
where the table asks for photographs, and near-duplicates (of the same source, and of
any source before it in the table, so that no scene stands in both roles).
The light goes to OUT/maps/<role>/ as it came (.exr, .hdr); maps.py makes it small.
No picture is committed; the table names each source with its licence.
"""
import base64
import fnmatch
import pathlib
import random
import re
import shutil
import struct
import sys
import tomllib

import cv2
import numpy as np

LONG, QUALITY, SEED = 640, 88, 14
SMALLEST = 200  # px; less than that shows no scene
# Differing bits of the 256 below which two pictures count as the same shot. Measured on
# these sources: one picture at half its size and quality 50 differs from itself by 5
# (95 %: 20), two pictures by 127 (99.9 %: at least 72).
SAME = 26
# Share of pixels equal to their right neighbour: screenshots 0.66 at the median,
# photographs 0.05 to 0.22 (95 %: at most 0.41).
FLAT = 0.45
ENDINGS = (".jpg", ".jpeg", ".png", ".webp", ".tif", ".tiff")


def matches(path, patterns):
    """Whether the relative path fits one of the patterns (case ignored)."""
    return any(fnmatch.fnmatch(path.lower(), p.lower()) for p in patterns)


def open_resources(folder):
    """Lays the WebP and JPEG pictures that Qt resource files (.rcc) hold as they are beside them."""
    for file in sorted(folder.rglob("*.rcc")):
        data, found = file.read_bytes(), []
        for mark in re.finditer(rb"RIFF....WEBP", data, re.S):
            start = mark.start()
            size = struct.unpack("<I", data[start + 4:start + 8])[0] + 8
            found.append((".webp", data[start:start + size]))
        for mark in re.finditer(rb"\xff\xd8\xff[\xe0\xe1\xdb]", data):
            start = mark.start()  # a resource's size stands before it, most significant first
            size = struct.unpack(">I", data[start - 4:start])[0]
            if data[start + size - 2:start + size] == b"\xff\xd9":
                found.append((".jpg", data[start:start + size]))
        for i, (ending, picture) in enumerate(found):
            file.with_name(f"{file.stem}_{i:04}{ending}").write_bytes(picture)


def candidates(folder, source):
    """The source's picture files in a fixed shuffled order."""
    found = sorted(str(f.relative_to(folder)) for f in folder.rglob("*")
                   if f.suffix.lower() in ENDINGS and f.is_file())
    found = [f for f in found if matches(f, source.get("include", ["*"]))
             and not matches(f, source.get("exclude", []))]
    random.Random(SEED).shuffle(found)
    return found


def load(file):
    """Decodes a picture upright as BGR at reduced size, or None where it can't be used."""
    size = file.stat().st_size
    how = cv2.IMREAD_REDUCED_COLOR_4 if size > 2_500_000 else cv2.IMREAD_COLOR
    image = cv2.imread(str(file), how)
    if how != cv2.IMREAD_COLOR and image is not None and max(image.shape) < LONG:
        image = cv2.imread(str(file), cv2.IMREAD_COLOR)
    return image if image is not None and min(image.shape[:2]) >= SMALLEST else None


def see_through(file):
    """Whether part of it is transparent: a cut-out, whose hidden colours mean nothing."""
    if file.suffix.lower() in (".jpg", ".jpeg"):
        return False
    image = cv2.imread(str(file), cv2.IMREAD_UNCHANGED)
    return image is not None and image.ndim == 3 and image.shape[2] == 4 \
        and (image[..., 3] < image[..., 3].max()).mean() > 0.01


def shrink(image, long=LONG):
    """The picture with its long side at most `long` px."""
    scale = long / max(image.shape[:2])
    if scale >= 1:
        return image
    return cv2.resize(image, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)


def drawn(image):
    """Whether it is a drawing or screenshot: much of it equals its right neighbour."""
    same = (image[:, 1:] == image[:, :-1]).all(axis=2)
    return same.mean() > FLAT


def difference_hash(image):
    """256 bits: where a 17 x 16 grey miniature falls from left to right."""
    grey = cv2.cvtColor(image, cv2.COLOR_BGR2GRAY)
    tiny = cv2.resize(grey, (17, 16), interpolation=cv2.INTER_AREA).astype(int)
    return np.packbits(tiny[:, 1:] < tiny[:, :-1])


def seen(mark, marks):
    """Whether a hash lies within SAME bits of one in the list."""
    if not marks:
        return False
    return np.bitwise_count(np.array(marks) ^ mark).sum(axis=1).min() < SAME


def make(folder, source, out, marks):
    """Writes one source's pictures; returns how many and adds their hashes to `marks`."""
    out.mkdir(parents=True, exist_ok=True)
    for old in out.glob("*.jpg"):
        old.unlink()
    count, own = 0, []
    # Many small machined surfaces hash alike without being one shot.
    surface = source.get("surface", False)
    for name in candidates(folder, source):
        if count == source["take"]:
            break
        image = load(folder / name)
        if image is None or see_through(folder / name):
            continue
        image = shrink(image)
        if not source.get("drawings", False) and drawn(image):
            continue
        mark = difference_hash(image)
        if not surface and (seen(mark, marks) or seen(mark, own)):
            continue
        own.append(mark)
        cv2.imwrite(str(out / f"{count:05}.jpg"), image, [cv2.IMWRITE_JPEG_QUALITY, QUALITY])
        count += 1
    marks.extend(own)
    return count


def lay_light(folder, light, out):
    """Copies one collection's environment maps; those wrapped in JavaScript are unwrapped."""
    for role in ("train", "judge"):
        (out / role).mkdir(parents=True, exist_ok=True)
        for name in light[role]:
            file = folder / light["files"].format(name)
            if not file.is_file():
                print(f"{light['name']}: no file {file}; fetch {light['from']} into {folder}")
            elif file.suffix == ".js":  # export default 'data:application/exr;base64,...'
                coded = file.read_text().split("base64,")[1].split("'")[0]
                (out / role / f"{name}.exr").write_bytes(base64.b64decode(coded))
            else:
                shutil.copy(file, out / role / file.name)


def main():
    sources, out, names = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2]), sys.argv[3:]
    table = tomllib.loads(pathlib.Path(__file__).with_name("pictures.toml").read_text())
    marks, total = [], {"train": 0, "judge": 0}
    for source in table["source"]:
        name, role = source["name"], source["role"]
        if names and name not in names:
            for f in sorted((out / role / name).glob("*.jpg")):
                marks.append(difference_hash(cv2.imread(str(f))))
                total[role] += 1
            continue
        if not (sources / name).is_dir():
            print(f"{name}: no folder {sources / name}; fetch {source['from']} into it")
            continue
        open_resources(sources / name)
        count = make(sources / name, source, out / role / name, marks)
        total[role] += count
        print(f"{name} ({role}): {count}", flush=True)
    print(total)
    for light in table["light"]:
        if not names or light["name"] in names:
            lay_light(sources / light["name"], light, out / "maps")


if __name__ == "__main__":
    cv2.setNumThreads(1)
    main()
