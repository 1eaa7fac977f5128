"""`seepline review` against OpenCV's full decode of the same photos, and what it takes.

    python3 -m venv .venv
    .venv/bin/pip install opencv-python-headless==4.12.0.88 numpy==2.2.6
    cargo build --release
    .venv/bin/python benches/review_against_opencv.py [--seepline PROGRAM] [--many 5000]

Measures, in one run on one machine:

- photos per second for 200 photos of 12 megapixels: the whole command (process start, walking, hashing,
  decoding, reading, thumbnails, pictures and results) against a program that does nothing but
  `cv2.imread` each of them in full, on as many threads; the two take turns, medians of the ratio count;
- the same on one core and on two, the process being held to them (Linux);
- the second run over unchanged photos against the first;
- peak memory (largest resident set, as the operating system kept it) with 200 photos of 12 megapixels, and
  with 200 and with many of the sample's own 2 megapixels (many large ones would fill the disk).

The photos are one sample enlarged as in against_opencv.py. Bytes after a JPEG's end are no part of the
picture: they make each copy another content, so that each is read.
"""

import argparse
import json
import os
import pathlib
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor

import cv2

from against_opencv import OURS, SAMPLE, peak_megabytes, twelve_megapixels

PHOTOS = 200
TURNS = 3


def fill(folder, jpeg, count):
    folder.mkdir()
    for number in range(count):
        (folder / f"{number:06}.jpg").write_bytes(jpeg + number.to_bytes(8, "big"))


def decode_all(folder, threads):
    """OpenCV releases the interpreter's lock while it decodes."""
    cv2.setNumThreads(1)
    files = [str(file) for file in sorted(folder.iterdir())]
    with ThreadPoolExecutor(threads) as pool:
        for picture in pool.map(lambda file: cv2.imread(file, cv2.IMREAD_COLOR).shape, files):
            assert picture[0] * picture[1] == 12_000_000


def seconds(work):
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def command(program, folder, into, threads):
    return [str(program), "review", str(folder), "--tip", "up", "--into", str(into), "--threads", str(threads)]


def review(program, folder, into, threads, count=None):
    """A run; checks that it read as many as it should."""
    done = subprocess.run(command(program, folder, into, threads), capture_output=True, text=True)
    if done.returncode > 1 or (count is not None and f" {count} read now" not in done.stdout):
        sys.exit(f"seepline: {done.returncode} {done.stdout} {done.stderr}")


def on_cores(cores, work):
    """With this process, and so what it starts, held to the first so many cores."""
    every = os.sched_getaffinity(0)
    os.sched_setaffinity(0, sorted(every)[:cores])
    try:
        return work()
    finally:
        os.sched_setaffinity(0, every)


def against_decoding(program, photos, scratch, threads):
    ours, theirs = [], []
    for turn in range(TURNS):
        into = scratch / f"turn{turn}"
        ours.append(seconds(lambda: review(program, photos, into, threads, PHOTOS)))
        theirs.append(seconds(lambda: decode_all(photos, threads)))
        shutil.rmtree(into)
    ratio = statistics.median(t / o for o, t in zip(ours, theirs))
    print(f"{PHOTOS} photos of 12 megapixels, {threads} threads, {TURNS} turns, medians")
    print(f"  seepline review, whole command      {PHOTOS / statistics.median(ours):6.1f} photos a second")
    print(f"  OpenCV {cv2.__version__} imread, nothing else   {PHOTOS / statistics.median(theirs):6.1f} photos a second")
    print(f"  as many times as OpenCV             {ratio:6.2f}")


def scaling(program, photos, scratch):
    ratios = []
    for turn in range(TURNS):
        times = []
        for cores in (1, 2):
            into = scratch / f"cores{cores}"
            run = lambda: review(program, photos, into, cores, PHOTOS)
            times.append(on_cores(cores, lambda: seconds(run)))
            shutil.rmtree(into)
        ratios.append(times[0] / times[1])
    print(f"  two cores against one               {statistics.median(ratios):6.2f}")


def second_run(program, photos, scratch, threads):
    into = scratch / "again"
    first = seconds(lambda: review(program, photos, into, threads, PHOTOS))
    again = [seconds(lambda: review(program, photos, into, threads, 0)) for _ in range(5)]
    again = statistics.median(again)
    print(f"  second run                          {1000 * again:6.0f} ms, {first / again:.0f} times faster")
    shutil.rmtree(into)


def memory(program, photos, scratch, threads, count):
    into = scratch / f"memory{count}"
    peak = peak_megabytes(command(program, photos, into, threads))
    kinds = [json.loads(line)["kind"] for line in (into / "review.jsonl").open()]
    assert kinds.count("photo") == count
    print(f"  peak memory, {count:5} photos          {peak:6.0f} MB")
    shutil.rmtree(into)


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--seepline", type=pathlib.Path, default=OURS)
    arguments.add_argument("--many", type=int, default=5000, help="photos for the peak of memory; 0: leave it out")
    given = arguments.parse_args()
    if not given.seepline.exists():
        sys.exit(f"{given.seepline} is missing: run `cargo build --release` first")
    threads = len(os.sched_getaffinity(0))
    jpeg = twelve_megapixels(SAMPLE)
    with tempfile.TemporaryDirectory() as folder:
        scratch = pathlib.Path(folder)
        photos = scratch / "photos"
        fill(photos, jpeg, PHOTOS)
        against_decoding(given.seepline, photos, scratch, threads)
        scaling(given.seepline, photos, scratch)
        second_run(given.seepline, photos, scratch, threads)
        memory(given.seepline, photos, scratch, threads, PHOTOS)
        for count in (PHOTOS, given.many) if given.many else ():
            shutil.rmtree(photos)
            fill(photos, SAMPLE.read_bytes(), count)
            print("of 2 megapixels")
            memory(given.seepline, photos, scratch, threads, count)


if __name__ == "__main__":
    main()
