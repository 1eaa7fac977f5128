"""How a review's cost grows with the photos: time, memory, size of the result, opening the report in Chromium.

    cargo build --release --locked
    python3 benches/growth.py [--seepline PROGRAM] [--review 1000 10000] [--join 1000 10000 100000] [--scratch DIR]

- `--review`: that many photos are read. Each is one of the sample photos with other bytes behind its end, which are no part
  of the picture and make it another content; three to a check, fifty checks to a jaw set.
- `--join`: that many photos of a result are made of the lines of a review of 300 such photos, with other names, times and
  contents, in eight parts, and joined: no photo is read, since what `join` does hangs on the lines alone. Their pictures are links to
  those 300.

Processor time is that of the program and its children, which others on the machine change least. Peak memory is the largest
resident set, as the operating system kept it. Opening is from the navigation to the end of the
page's load event, in Chromium without a window, where chromedriver is installed.
"""

import argparse
import datetime
import hashlib
import json
import os
import pathlib
import resource
import shutil
import subprocess
import sys
import tempfile
import time
import urllib.request

from against_opencv import OURS, ROOT, peak_megabytes

SAMPLES = sorted((ROOT / "sample-images").glob("*/*.jpg"))
JAWS, CHECKS, PARTS, READ = 3, 50, 8, 300


def name_of(number):
    check, jaw = divmod(number, JAWS)
    return f"set{check // CHECKS:05}/check{check % CHECKS:02}/jaw{jaw + 1}.jpg"


def fill(folder, count):
    jpegs = [sample.read_bytes() for sample in SAMPLES]
    for number in range(count):
        place = folder / name_of(number)
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_bytes(jpegs[number % len(jpegs)] + number.to_bytes(8, "big"))


def measured(command):
    begun, before = time.perf_counter(), processor_seconds()
    peak = peak_megabytes([str(part) for part in command])
    return time.perf_counter() - begun, processor_seconds() - before, peak


def processor_seconds():
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def size_of(folder):
    """Bytes and files; what lies there more than once under several names counts each time."""
    files = [entry.stat().st_size for entry in folder.rglob("*") if entry.is_file()]
    return sum(files), len(files)


def review(program, photos, into):
    return measured([program, "review", photos, "--tip", "up", "--into", into])


def told(what, count, taken, into):
    (seconds, processor, peak), (size, files) = taken, size_of(into)
    each = f"{1000 * processor / count:.2f} ms of processor time a photo"
    print(f"{what} {count:7} photos  {seconds:7.1f} s, {each}, peak {peak:.0f} MB, result {size / 1e6:.0f} MB in {files} files", flush=True)
    for page, milliseconds in opened(into):
        print(f"  {page} in Chromium  {milliseconds} ms", flush=True)


def another(line, number):
    """The photo with another name and content; its check is found anew by `join`."""
    line = json.loads(line)
    line["sha256"] = hashlib.sha256(number.to_bytes(8, "big")).hexdigest()
    line["file"] = name_of(number)
    line["told"]["folder"] = line["file"].rsplit("/", 1)[0]
    line["told"]["jaw_set"] = line["file"].split("/")[0]
    # Jaws of one check a minute apart, checks an hour.
    check, jaw = divmod(number, JAWS)
    line["taken"] = (datetime.datetime(2020, 1, 1) + datetime.timedelta(hours=check, minutes=jaw)).isoformat()
    line["check"] = ""
    return line


def make_parts(read, count, scratch):
    """The lines of a result, and its pictures, as eight parts of so many photos."""
    lines = [line for line in (read / "review.jsonl").open() if '"kind":"photo"' in line]
    parts = [scratch / f"part{number}" for number in range(PARTS)]
    for part in parts:
        for kind in ("thumbs", "pictures"):
            (part / kind).mkdir(parents=True)
    results = [(part / "review.jsonl").open("w") for part in parts]
    for number in range(count):
        source = json.loads(lines[number % len(lines)])["sha256"]
        line = another(lines[number % len(lines)], number)
        at = int(line["sha256"][:16], 16) % PARTS
        print(json.dumps(line, separators=(",", ":")), file=results[at])
        for kind in ("thumbs", "pictures"):
            # A file system has a limit of names for one file.
            here = read / kind / f"{source}.jpg"
            place = parts[at] / kind / f"{line['sha256']}.jpg"
            os.link(here, place) if here.stat().st_nlink < 60_000 else shutil.copy(here, place)
    for result in results:
        result.close()
    return parts


def opened(into):
    """Milliseconds of the overview and the table."""
    if not shutil.which("chromedriver"):
        return []
    driver = subprocess.Popen(["chromedriver", "--port=9517"], stdout=subprocess.PIPE, text=True)
    while "successfully" not in (driver.stdout.readline() or sys.exit("chromedriver did not start")):
        pass
    with tempfile.TemporaryDirectory() as profile:
        flags = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", f"--user-data-dir={profile}"]
        flags += ["--disable-background-networking", "--disable-component-update", "--disable-sync"]
        chrome = {"capabilities": {"alwaysMatch": {"goog:chromeOptions": {"args": flags}}}}
        session = f"/session/{ask('/session', chrome)['sessionId']}"
        found = []
        for page in ("index.html", "checks.html"):
            ask(session + "/url", {"url": (into / page).resolve().as_uri()})
            script = "return Math.round(performance.getEntriesByType('navigation')[0].loadEventEnd)"
            found.append((page, ask(session + "/execute/sync", {"script": script, "args": []})))
        ask(session, method="DELETE")
        driver.terminate()
        driver.wait()
    return found


def ask(path, body=None, method="POST"):
    data = None if body is None else json.dumps(body).encode()
    request = urllib.request.Request("http://localhost:9517" + path, data, {"Content-Type": "application/json"}, method=method)
    return json.load(urllib.request.urlopen(request, timeout=600))["value"]


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("--seepline", type=pathlib.Path, default=OURS)
    arguments.add_argument("--review", type=int, nargs="*", default=[1000])
    arguments.add_argument("--join", type=int, nargs="*", default=[1000, 10_000, 100_000])
    arguments.add_argument("--scratch", help="a folder on a disk with room: some 10 GB for 100 000")
    given = arguments.parse_args()
    for count in given.review:
        with tempfile.TemporaryDirectory(dir=given.scratch) as folder:
            photos, into = pathlib.Path(folder) / "photos", pathlib.Path(folder) / "into"
            fill(photos, count)
            told("review", count, review(given.seepline, photos, into), into)
    for count in given.join:
        with tempfile.TemporaryDirectory(dir=given.scratch) as folder:
            scratch = pathlib.Path(folder)
            fill(scratch / "photos", READ)
            review(given.seepline, scratch / "photos", scratch / "read")
            parts = make_parts(scratch / "read", count, scratch)
            told("join  ", count, measured([given.seepline, "join", *parts, "--into", scratch / "into"]), scratch / "into")


if __name__ == "__main__":
    main()
