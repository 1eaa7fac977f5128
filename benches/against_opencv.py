"""Time and memory of `seepline read PHOTO` against OpenCV's full decode of the same file.

    python3 -m venv .venv
    .venv/bin/pip install opencv-python-headless==4.12.0.88 numpy==2.2.6
    cargo build --release
    .venv/bin/python benches/against_opencv.py                # a 12-megapixel photo made from a sample
    .venv/bin/python benches/against_opencv.py PHOTO [TIP]    # another one

Ours is the whole command, process start, decoding, reading and report counted. OpenCV's is `cv2.imread`
alone, one thread, interpreter start and import not counted. The two take turns in one run of this
script, so that whatever else the machine does weighs on both alike; what counts is the ratio of the
medians. Peak memory is the largest resident set of one run of ours, as the operating system kept it.
"""

import pathlib
import statistics
import subprocess
import sys
import tempfile
import time

import cv2
import numpy as np

ROOT = pathlib.Path(__file__).resolve().parent.parent
OURS = ROOT / "target" / "release" / "seepline"
SAMPLE = ROOT / "sample-images" / "heron-too-much-taper" / "jaw1.jpg"
RUNS = 40
WARM_UP = 3


def exif_segment(jpeg):
    """The file's APP1 segment with its marker, so that orientation and focal length are kept."""
    at = jpeg.find(b"\xff\xe1")
    return jpeg[at : at + 2 + int.from_bytes(jpeg[at + 2 : at + 4], "big")]


def twelve_megapixels(sample):
    return enlarged(sample, 4000, 3000)


def enlarged(sample, long, short):
    """The sample at this size as a phone would write it: sensor noise, quality 85, 4:2:0, its EXIF data."""
    raw = sample.read_bytes()
    stored = cv2.imdecode(np.frombuffer(raw, np.uint8), cv2.IMREAD_COLOR | cv2.IMREAD_IGNORE_ORIENTATION)
    size = (long, short) if stored.shape[1] > stored.shape[0] else (short, long)
    large = cv2.resize(stored, size, interpolation=cv2.INTER_CUBIC)
    noise = np.random.default_rng(1)
    # In strips: all of 108 megapixels as floats would take gigabytes.
    for strip in np.array_split(large, max(1, long * short // 12_000_000)):
        # Four levels, as a phone leaves in indoor light.
        strip[:] = (strip + noise.normal(0, 4, strip.shape).astype(np.float32)).clip(0, 255).astype(np.uint8)
    options = [
        cv2.IMWRITE_JPEG_QUALITY, 85,
        cv2.IMWRITE_JPEG_SAMPLING_FACTOR, cv2.IMWRITE_JPEG_SAMPLING_FACTOR_420,
    ]
    _, jpeg = cv2.imencode(".jpg", large, options)
    jpeg = jpeg.tobytes()
    return jpeg[:2] + exif_segment(raw) + jpeg[2:]


# A process that starts as a copy of this one counts this one's memory as its own, so a small one measures.
PEAK_KB = """
import resource, subprocess, sys
subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
print(peak if sys.platform == "linux" else peak // 1024)
"""


def peak_megabytes(command):
    measured = subprocess.run([sys.executable, "-S", "-c", PEAK_KB, *command], capture_output=True, text=True)
    return int(measured.stdout) / 1024


def milliseconds(work):
    start = time.perf_counter()
    work()
    return 1000 * (time.perf_counter() - start)


def quartiles(times):
    low, middle, high = statistics.quantiles(times, n=4)
    return f"median {middle:6.1f} ms, half of the runs between {low:.1f} and {high:.1f}"


def compare(photo, tip):
    command = [str(OURS), "read", str(photo), "--tip", tip]
    first = subprocess.run(command, capture_output=True, text=True)
    if first.returncode > 1:
        sys.exit(f"seepline: {first.stderr}")
    cv2.setNumThreads(1)
    height, width, _ = cv2.imread(str(photo)).shape
    read = lambda: subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    decode = lambda: cv2.imread(str(photo), cv2.IMREAD_COLOR)
    ours, theirs = [], []
    for run in range(WARM_UP + RUNS):
        pair = milliseconds(read), milliseconds(decode)
        if run >= WARM_UP:
            ours.append(pair[0])
            theirs.append(pair[1])
    print(f"{photo.name}: {width} x {height}, {photo.stat().st_size / 1e6:.1f} MB, {RUNS} runs each, taking turns")
    print(f"  seepline read, whole command        {quartiles(ours)}")
    print(f"  OpenCV {cv2.__version__} imread, one thread  {quartiles(theirs)}")
    print(f"  ratio of the medians                {statistics.median(ours) / statistics.median(theirs):.2f}")
    print(f"  peak memory of seepline             {peak_megabytes(command):.0f} MB")


def main():
    if not OURS.exists():
        sys.exit(f"{OURS} is missing: run `cargo build --release` first")
    if len(sys.argv) > 1:
        compare(pathlib.Path(sys.argv[1]), sys.argv[2] if len(sys.argv) > 2 else "up")
        return
    with tempfile.TemporaryDirectory() as folder:
        photo = pathlib.Path(folder) / "twelve-megapixels.jpg"
        photo.write_bytes(twelve_megapixels(SAMPLE))
        compare(photo, "up")


if __name__ == "__main__":
    main()
