"""The whole table of speed: `seepline` against OpenCV's decoding, other programs' work, and itself, as ratios.

    python3 -m venv .venv
    .venv/bin/pip install opencv-python-headless==4.12.0.88 numpy==2.2.6 onnxruntime==1.32.0 pillow-heif==1.8.1
    cargo build --release --locked
    .venv/bin/python benches/table.py [--only WORD...] [--seepline PROGRAM] [--before PROGRAM] [--runs 40] [--review 200]
    .venv/bin/python benches/table.py --write benches/README.md

Every pair takes turns in one run, so that whatever else the machine does weighs on both alike; what counts is the ratio of
the medians. `--only` takes the lines with such a word in them. `--before` puts an earlier program beside it. The photos are one
sample, enlarged as in against_opencv.py. onnxruntime and pillow-heif are needed for one line each; without them it is left
out, and says so. How cost grows with the photos is told by growth.py, and what work a read is by .ci/instructions.
"""

import argparse
import datetime
import os
import pathlib
import platform
import shutil
import statistics
import subprocess
import tempfile
from concurrent.futures import ThreadPoolExecutor
from functools import partial

import cv2
import numpy as np

from against_opencv import OURS, SAMPLE, enlarged, exif_segment, milliseconds, peak_megabytes, twelve_megapixels
from review_against_opencv import fill, on_cores

BEGIN, END = "<!-- begin: benches/table.py -->", "<!-- end: benches/table.py -->"
WARM_UP = 3
OPENCV = f"OpenCV {cv2.__version__}'s full decode"


def without_noise(jpeg):
    """The same picture smoothed, as a render is: fewer bytes, so that OpenCV decodes it faster."""
    flags = cv2.IMREAD_COLOR | cv2.IMREAD_IGNORE_ORIENTATION
    smooth = cv2.GaussianBlur(cv2.imdecode(np.frombuffer(jpeg, np.uint8), flags), (0, 0), 3)
    _, again = cv2.imencode(".jpg", smooth, [cv2.IMWRITE_JPEG_QUALITY, 85])
    again = again.tobytes()
    return again[:2] + exif_segment(jpeg) + again[2:]


def ratio(ours, theirs, runs):
    """Of the medians, taking turns, and what it is made of."""
    times = [(milliseconds(ours), milliseconds(theirs)) for _ in range(WARM_UP + runs)][WARM_UP:]
    one, other = (statistics.median(t) for t in zip(*times))
    return one / other, f"{one:.0f} against {other:.0f} ms"


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
    files = [str(file) for file in sorted(folder.iterdir())]
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        list(pool.map(lambda file: cv2.imread(file, cv2.IMREAD_COLOR).shape, files))


class Measuring:
    """Each line of the table: what it is called, what is asked of it, and how it is measured."""

    def __init__(self, given, scratch):
        self.given, self.scratch, self.ours = given, scratch, given.seepline
        self.noisy = twelve_megapixels(SAMPLE)

    def lines(self):
        one = "`read`, one core, against " + OPENCV
        review = f"`review`, {self.given.review} photos of %s, both cores, photos a second against {OPENCV}"
        yield f"{one}: 12 MP with sensor noise", "≤ 0.5", partial(self.against_decoding, "noisy.jpg")
        yield f"{one}: 12 MP without noise", "≤ 0.8", partial(self.against_decoding, "plain.jpg")
        yield f"{one}: 2 MP", "–", partial(self.against_decoding, "small.jpg")
        yield f"{one}: 48 MP", "≤ 0.4", partial(self.against_decoding, "48.jpg")
        yield f"{one}: 108 MP", "≤ 0.4", partial(self.against_decoding, "108.jpg")
        for name, size in (("noisy.jpg", "12 MP"), ("48.jpg", "48 MP"), ("108.jpg", "108 MP")):
            yield f"`read`, peak memory: {size}", "≤ 120 MB", partial(self.memory, name)
        yield "`read`, 12 MP, two cores against one", "≤ 0.75", self.two_cores
        yield "three photos of 12 MP in one command, two cores, against three times one on one core", "≤ 0.45", self.three
        yield "`read`, HEIC of 12 MP, one core, against libheif's decoder", "≤ 1.2", self.heic
        yield "end of an upload to the page until its answer, 12 MP, against `read`", "≤ 1.05", self.page
        yield "`read`, 12 MP, one core, against OpenCV and onnxruntime with the same networks (peer.py)", "≤ 0.5", self.peer
        yield review % "12 MP", "≥ 2.0", partial(self.reviewed, "noisy.jpg")
        yield review % "2 MP", "≥ 0.6", partial(self.reviewed, "small.jpg")
        if self.given.before:
            for name in ("noisy.jpg", "small.jpg"):
                yield f"`read` against the program before: {name}", "–", partial(self.before, name)

    def photo(self, name):
        made = {
            "noisy.jpg": lambda: self.noisy,
            "plain.jpg": lambda: without_noise(self.noisy),
            "small.jpg": SAMPLE.read_bytes,
            "48.jpg": lambda: enlarged(SAMPLE, 8000, 6000),
            "108.jpg": lambda: enlarged(SAMPLE, 12000, 9000),
        }
        place = self.scratch / name
        if not place.exists():
            place.write_bytes(made[name]())
        return place

    def runs_for(self, name):
        # Of the largest ones OpenCV takes a second each.
        return max(self.given.runs // 4, 3) if name in ("48.jpg", "108.jpg") else self.given.runs

    def against_decoding(self, name):
        photo = self.photo(name)
        return ratio(read(self.ours, photo), decode(photo), self.runs_for(name))

    def before(self, name):
        photo = self.photo(name)
        return ratio(read(self.ours, photo), read(self.given.before, photo), self.given.runs)

    def memory(self, name):
        photo = self.photo(name)
        peak = peak_megabytes([str(self.ours), "read", str(photo), "--tip", "up"])
        return peak, f"MB, of a file of {photo.stat().st_size / 1e6:.0f} MB"

    def two_cores(self):
        photo = self.photo("noisy.jpg")
        return ratio(read(self.ours, photo, cores=2), read(self.ours, photo), self.given.runs)

    def three(self):
        photos = [self.scratch / f"{i}.jpg" for i in range(3)]
        for i, photo in enumerate(photos):
            photo.write_bytes(self.noisy + bytes([i]))
        alone = read(self.ours, photos[0])
        return ratio(read(self.ours, *photos, cores=2), lambda: [alone() for _ in photos], self.given.runs // 4 + 1)

    def heic(self):
        import pillow_heif

        flags = cv2.IMREAD_COLOR | cv2.IMREAD_IGNORE_ORIENTATION
        picture = cv2.cvtColor(cv2.imread(str(self.photo("plain.jpg")), flags), cv2.COLOR_BGR2RGB)
        photo = self.scratch / "photo.heic"
        size = picture.shape[1::-1]
        pillow_heif.from_bytes("RGB", size, picture.tobytes()).save(str(photo), quality=60)
        pillow_heif.options.DECODE_THREADS = 1
        # Its pixels are decoded when they are asked for.
        theirs = lambda: on_cores(1, lambda: len(pillow_heif.open_heif(str(photo))[0].data))
        value, parts = ratio(read(self.ours, photo), theirs, self.given.runs // 4 + 1)
        return value, f"{parts}; libheif {pillow_heif.libheif_version()}"

    def page(self):
        from phone import page_and_command

        pages, commands = page_and_command(self.ours, self.noisy, "up", self.scratch, self.given.runs)
        one, other = statistics.median(pages), statistics.median(commands)
        return one / other, f"{one:.0f} against {other:.0f} ms"

    def peer(self):
        from peer import load, reading

        photo, nets = self.photo("noisy.jpg"), load()
        return ratio(read(self.ours, photo), lambda: on_cores(1, lambda: reading(photo, nets)), self.given.runs)

    def reviewed(self, name):
        folder = self.scratch / "photos"
        fill(folder, self.photo(name).read_bytes(), self.given.review)
        value = ratio(lambda: decode_folder(folder), review(self.ours, folder, self.scratch), 3)
        shutil.rmtree(folder)
        return value


def told(name, asked, measure):
    try:
        value, parts = measure()
    except ImportError as missing:
        return f"| {name} | {asked} | not measured | {missing.name} is not installed |"
    shown = f"{value:.0f}" if "MB" in asked else f"{value:.2f}"
    return f"| {name} | {asked} | {shown} | {parts} |"


def heading(program):
    version = subprocess.run([program, "--version"], capture_output=True, text=True, check=True).stdout.split("\n")[0].strip()
    processor = next((l.split(":")[1].strip() for l in open("/proc/cpuinfo") if l.startswith("model name")), platform.machine())
    today = datetime.date.today().isoformat()
    return f"Measured with `benches/table.py` on {today}: {version}; {processor}, {os.cpu_count()} cores, load {os.getloadavg()[0]:.1f}."


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("--seepline", type=pathlib.Path, default=OURS)
    arguments.add_argument("--before", type=pathlib.Path)
    arguments.add_argument("--only", nargs="*", default=[""])
    arguments.add_argument("--runs", type=int, default=40)
    arguments.add_argument("--review", type=int, default=200, help="photos")
    arguments.add_argument("--write", type=pathlib.Path)
    given = arguments.parse_args()
    cv2.setNumThreads(1)
    lines = [heading(given.seepline), "", "| what | asked | measured | |", "| --- | --- | --- | --- |"]
    print("\n".join(lines), flush=True)
    with tempfile.TemporaryDirectory() as folder:
        for name, asked, measure in Measuring(given, pathlib.Path(folder)).lines():
            if any(word in name for word in given.only):
                lines.append(told(name, asked, measure))
                print(lines[-1], flush=True)
    if given.write:
        page = given.write.read_text()
        before, rest = page.split(BEGIN, 1)
        given.write.write_text(f"{before}{BEGIN}\n" + "\n".join(lines) + f"\n{END}{rest.split(END, 1)[1]}")


if __name__ == "__main__":
    main()
