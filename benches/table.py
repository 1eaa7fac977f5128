"""The whole table of speed: `seepline` against OpenCV's decoding and against itself, as ratios.

    python3 -m venv .venv
    .venv/bin/pip install opencv-python-headless==4.12.0.88 numpy==2.2.6
    cargo build --release --locked
    .venv/bin/python benches/table.py [--seepline PROGRAM] [--before PROGRAM] [--runs 40] [--review 200]

Every pair takes turns in one run, so that whatever else the machine does weighs on both alike; what counts is the ratio of
the medians. `--before` puts an earlier program beside it. The photos are one sample, enlarged as in against_opencv.py.
"""

import argparse
import os
import pathlib
import shutil
import statistics
import subprocess
import tempfile

import cv2
import numpy as np

from against_opencv import OURS, SAMPLE, exif_segment, milliseconds, peak_megabytes, twelve_megapixels
from review_against_opencv import fill, on_cores

WARM_UP = 3


def without_noise(jpeg):
    """The same picture smoothed, as a render is: fewer bytes, so that OpenCV decodes it faster."""
    flags = cv2.IMREAD_COLOR | cv2.IMREAD_IGNORE_ORIENTATION
    smooth = cv2.GaussianBlur(cv2.imdecode(np.frombuffer(jpeg, np.uint8), flags), (0, 0), 3)
    _, again = cv2.imencode(".jpg", smooth, [cv2.IMWRITE_JPEG_QUALITY, 85])
    again = again.tobytes()
    return again[:2] + exif_segment(jpeg) + again[2:]


def ratio(ours, theirs, runs):
    """Of the medians, taking turns."""
    times = [(milliseconds(ours), milliseconds(theirs)) for _ in range(WARM_UP + runs)][WARM_UP:]
    one, other = (statistics.median(t) for t in zip(*times))
    return f"{one / other:6.2f}   ({one:.0f} against {other:.0f} ms)"


def read(program, *photos, cores=1):
    command = [str(program), "read", *map(str, photos), "--tip", "up"]
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    return lambda: on_cores(cores, lambda: subprocess.run(command, **quiet))


def decode(*photos):
    def all_of_them():
        for photo in photos:
            cv2.imread(str(photo), cv2.IMREAD_COLOR)

    return lambda: on_cores(1, all_of_them)


def review(program, folder, scratch):
    def run():
        command = [str(program), "review", str(folder), "--tip", "up", "--into", str(scratch / "into")]
        subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        shutil.rmtree(scratch / "into", ignore_errors=True)

    return run


def decode_folder(folder):
    """OpenCV on as many threads as there are cores; it releases the interpreter's lock while it decodes."""
    from concurrent.futures import ThreadPoolExecutor

    files = [str(file) for file in sorted(folder.iterdir())]
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        list(pool.map(lambda file: cv2.imread(file, cv2.IMREAD_COLOR).shape, files))


def reviews(given, scratch, name, jpeg):
    folder = scratch / "photos"
    fill(folder, jpeg, given.review)
    found = ratio(lambda: decode_folder(folder), review(given.seepline, folder, scratch), 3)
    print(f"review, {given.review} photos of {name}, photos a second against decoding alone  {found}")
    shutil.rmtree(folder)


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--seepline", type=pathlib.Path, default=OURS)
    arguments.add_argument("--before", type=pathlib.Path)
    arguments.add_argument("--runs", type=int, default=40)
    arguments.add_argument("--review", type=int, default=200, help="photos; 0: leave the reviews out")
    given = arguments.parse_args()
    cv2.setNumThreads(1)
    noisy = twelve_megapixels(SAMPLE)
    plain = without_noise(noisy)
    with tempfile.TemporaryDirectory() as folder:
        scratch = pathlib.Path(folder)
        photos = {"12 MP with noise": noisy, "12 MP without noise": plain, "2 MP": SAMPLE.read_bytes()}
        for name, jpeg in photos.items():
            photo = scratch / f"{name}.jpg"
            photo.write_bytes(jpeg)
            ours = read(given.seepline, photo)
            print(f"read, {name}, against decoding alone  {ratio(ours, decode(photo), given.runs)}")
            if given.before:
                print(f"  against the program before        {ratio(ours, read(given.before, photo), given.runs)}")
            print(f"  with two cores against one        {ratio(read(given.seepline, photo, cores=2), ours, given.runs)}")
            print(f"  peak memory                       {peak_megabytes([str(given.seepline), 'read', str(photo)]):.0f} MB")
        three = [scratch / f"{i}.jpg" for i in range(3)]
        for i, photo in enumerate(three):
            photo.write_bytes(noisy + bytes([i]))
        alone = read(given.seepline, three[0])
        together = read(given.seepline, *three, cores=2)
        found = ratio(together, lambda: [alone() for _ in three], given.runs // 4 + 1)
        print(f"three photos of 12 MP in one command, two cores, against three times one  {found}")
        if given.review:
            reviews(given, scratch, "12 MP", noisy)
            reviews(given, scratch, "2 MP", SAMPLE.read_bytes())


if __name__ == "__main__":
    main()
