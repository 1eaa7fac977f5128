"""The phone page against `seepline read`: time from the end of a photo's upload to its answer.

    python3 -m venv .venv
    .venv/bin/pip install opencv-python-headless==4.12.0.88 numpy==2.2.6
    cargo build --release
    .venv/bin/python benches/phone.py               # a 12-megapixel photo made from a sample
    .venv/bin/python benches/phone.py PHOTO [TIP]   # another one

Ours on the page: from the last byte of the upload, over loopback, to the last byte of the response, which
holds the reading and the check's answer; the page with the answer is then fetched too, and counted. On the
command line: the whole command, process start counted. The two take turns in one run of this script, so that
whatever else the machine does weighs on both alike; what counts is the ratio of the medians. Each photo sent
differs in a comment, since the same photo is read once.
"""

import http.client
import json
import pathlib
import re
import signal
import statistics
import subprocess
import sys
import tempfile
import time

from against_opencv import OURS, SAMPLE, twelve_megapixels

RUNS = 40
WARM_UP = 3


def start(program, folder):
    command = [str(program), "serve", "--port", "0", "--archive", str(folder / "archive")]
    server = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    for line in server.stdout:
        found = re.search(r"http://([^/]+)/pair\?key=(\w+)", line)
        if found:
            return server, found[1], found[2]
    sys.exit("the server did not start")


def another(photo, number):
    """The same picture in another file: with a comment (ITU-T T.81, B.2.4.5)."""
    return photo[:2] + b"\xff\xfe\x00\x06" + number.to_bytes(4, "big") + photo[2:]


class Phone:
    def __init__(self, host, key):
        self.host, self.key = host, key
        self.connection = http.client.HTTPConnection(host)

    def ask(self, method, path, body=None):
        headers = {"Authorization": f"Bearer {self.key}", "Content-Type": "application/json"}
        self.connection.request(method, path, body, headers)
        return self.answer()

    def answer(self):
        response = self.connection.getresponse()
        body = response.read()
        if response.status >= 300:
            sys.exit(f"{response.status}: {body.decode()}")
        return body

    def milliseconds(self, photo, tip):
        check = json.loads(self.ask("POST", "/api/checks", json.dumps({"tip": tip})))["id"]
        self.connection.putrequest("POST", f"/api/checks/{check}/photos?jaw=1&name=jaw1.jpg")
        self.connection.putheader("Authorization", f"Bearer {self.key}")
        self.connection.putheader("Content-Length", str(len(photo)))
        self.connection.endheaders()
        self.connection.send(photo)
        begun = time.perf_counter()
        state = json.loads(self.answer())
        page = self.ask("GET", f"/checks/{check}")
        took = 1000 * (time.perf_counter() - begun)
        if not state["report"] or b"headline" not in page:
            sys.exit("the photo was not answered")
        self.ask("DELETE", f"/api/checks/{check}")
        return took


def quartiles(times):
    low, middle, high = statistics.quantiles(times, n=4)
    return f"median {middle:6.1f} ms, half of the runs between {low:.1f} and {high:.1f}"


def page_and_command(program, photo, tip, folder, runs):
    """Milliseconds of each, taking turns."""
    place = folder / "photo.jpg"
    place.write_bytes(photo)
    command = [str(program), "read", str(place), "--tip", tip]
    server, host, key = start(program, folder)
    phone = Phone(host, key)
    pages, commands = [], []
    for run in range(WARM_UP + runs):
        page = phone.milliseconds(another(photo, run), tip)
        begun = time.perf_counter()
        subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        took = 1000 * (time.perf_counter() - begun)
        if run >= WARM_UP:
            pages.append(page)
            commands.append(took)
    server.send_signal(signal.SIGINT)
    server.wait()
    return pages, commands


def compare(photo, tip, folder):
    pages, commands = page_and_command(OURS, photo, tip, folder, RUNS)
    print(f"{len(photo) / 1e6:.1f} MB, {RUNS} runs each, taking turns")
    print(f"  page: end of upload to answer  {quartiles(pages)}")
    print(f"  seepline read, whole command   {quartiles(commands)}")
    print(f"  ratio of the medians           {statistics.median(pages) / statistics.median(commands):.2f}")


def main():
    if not OURS.exists():
        sys.exit(f"{OURS} is missing: run `cargo build --release` first")
    tip = sys.argv[2] if len(sys.argv) > 2 else "up"
    photo = pathlib.Path(sys.argv[1]).read_bytes() if len(sys.argv) > 1 else twelve_megapixels(SAMPLE)
    with tempfile.TemporaryDirectory() as folder:
        compare(photo, tip, pathlib.Path(folder))


if __name__ == "__main__":
    main()
