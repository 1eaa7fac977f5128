#!/usr/bin/env python3
"""The table of figures in README.md: what the program reads in photos whose truth is known.

    cargo build --release --locked
    python3 benches/figures.py --photos DIR... [--without-jaw DIR...] [--write README.md]

DIR of `--photos` holds NAME.json beside each photo: `photo`, `readable`, `pattern`, `borderline`, `method`, `grip`,
`tip_direction`, `face_corners_px`, `taper_error_um`, `band`, and `jaw_set`, `check`, `jaw` where photos make a check.
The truth is the renderer's own geometry. Each set is read with the face searched for and the tip told, with
the corners given, and without a word about the tip. Pictures without a jaw are read with every tip and both methods.
`--write` puts the table between the two marks in the file, with commit, sets, machine and date.
Needs nothing but Python.
"""
import argparse
import datetime
import json
import math
import os
import platform
import statistics
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
BEGIN, END = "<!-- figures -->", "<!-- /figures -->"
WAYS = ("searched", "corners", "no word of the tip")
TIPS = ("up", "down", "left", "right")
OF_TAPER = {"full-length", "tip-only", "base-only"}
# Thousandths per side. A change the wrong way counts from an error that a shop would cut for, a cut for nothing up
# to one that it would leave; between the two either answer can be argued.
WORTH_A_CUT, WORTH_NOTHING = 0.4, 0.3
FOUND = 0.8  # overlap of outlines


def read(program, arguments):
    """One `read --json`; None where nothing came back, which counts as a crash."""
    run = subprocess.run([program, "read", "--json", *arguments], capture_output=True, text=True, timeout=300)
    try:
        return json.loads(run.stdout)
    except ValueError:
        return None


def said(truths, way):
    """What a user says of these photos, which are of one check."""
    first = truths[0]
    grip = {"od": "outside", "id": "inside"}.get(first.get("grip"), first.get("grip") or "outside")
    words = ["--method", first.get("method") or "seep", "--grip", grip]
    outlines = [t.get("face_corners_px") for t in truths]
    if way == "corners" and all(outlines):
        for corners in outlines:
            words += ["--corners", " ".join(f"{x:.1f},{y:.1f}" for x, y in corners)]
    elif way != "no word of the tip":
        tips = [t.get("tip_direction") or "unsaid" for t in truths]
        for tip in tips if len(set(tips)) > 1 else tips[:1]:
            words += ["--tip", tip]
    return words


def clipped(subject, clip):
    """Sutherland & Hodgman, Comm. ACM 17(1):32-42, 1974: the part of one polygon inside a convex one."""
    def side(p, a, b):
        return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])

    for a, b in zip(clip, clip[1:] + clip[:1]):
        kept = []
        for p, q in zip(subject, subject[1:] + subject[:1]):
            at_p, at_q = side(p, a, b), side(q, a, b)
            if at_p >= 0:
                kept.append(p)
            if at_p * at_q < 0:
                k = at_p / (at_p - at_q)
                kept.append((p[0] + k * (q[0] - p[0]), p[1] + k * (q[1] - p[1])))
        subject = kept
    return subject


def area(polygon):
    return sum(p[0] * q[1] - q[0] * p[1] for p, q in zip(polygon, polygon[1:] + polygon[:1])) / 2


def overlap(one, other):
    """Intersection over union of two quadrilaterals that run the same way round, tip-left first."""
    one, other = [[tuple(p) for p in quad] for quad in (one, other)]
    if area(other) < 0:
        one, other = one[::-1], other[::-1]
    both = abs(area(clipped(one, other))) if area(one) > 0 else 0.0
    return both / (abs(area(one)) + abs(area(other)) - both)


class Photo:
    """One photo's truth beside what was read of it alone."""

    def __init__(self, truth, report):
        self.truth, self.crashed = truth, report is None
        read_of = (report or {}).get("photos", [{}])[0]
        self.read = read_of
        self.change = change_of(report)
        self.pattern = read_of.get("pattern")
        self.refused = self.pattern in (None, "unreadable")
        self.readable, self.error = truth["readable"], (truth.get("taper_error_um") or 0) / 25.4

    def wrong_way(self):
        return self.readable and turned(self.change, self.error)

    def opposite(self):
        return self.readable and {self.truth.get("pattern"), self.pattern} == {"tip-only", "base-only"}

    def for_nothing(self):
        """A cut, or a word that all is well, that the truth does not bear out."""
        if self.change is None:
            return False
        if not self.readable:
            return True
        pattern = self.truth.get("pattern")
        if self.change == 0:
            clear = not self.truth.get("borderline")
            return clear and pattern != "full-length" and (pattern not in OF_TAPER or abs(self.error) >= 0.6)
        return pattern not in OF_TAPER | {"mixed"} and abs(self.error) < WORTH_NOTHING

    def cut_for_nothing(self):
        return bool(self.change) and self.for_nothing()

    def overlap(self):
        corners = (self.read.get("face") or {}).get("corners_px")
        return overlap(corners, self.truth["face_corners_px"]) if corners else 0.0

    def edge_error(self):
        """Of the band's edge, as a share of the length; None where there is none to compare."""
        pattern = self.truth.get("pattern")
        bands = self.read.get("bands")
        if pattern not in ("tip-only", "base-only") or pattern != self.pattern or not self.truth.get("band") or not bands:
            return None
        true = max(self.truth["band"], key=lambda b: b[1] - b[0])
        seen = max(bands, key=lambda b: b["to"] - b["from"])
        begins = (pattern == "tip-only") == (self.truth["method"] == "seep")
        return abs(seen["from"] - true[0]) if begins else abs(seen["to"] - true[1])


def change_of(report):
    change = ((report or {}).get("check") or {}).get("taper_change") or {}
    return change.get("per_side_thou")


def turned(change, error):
    return change not in (None, 0) and abs(error) >= WORTH_A_CUT and (change > 0) == (error > 0)


def truths_in(folder):
    for file in sorted(Path(folder).glob("*.json")):
        truth = json.loads(file.read_text())
        if isinstance(truth, dict) and (Path(folder) / truth.get("photo", "")).is_file() and "readable" in truth:
            yield {**truth, "path": str(Path(folder) / truth["photo"])}


def measured(program, truths, way, workers):
    """Column of the table: names and cells."""
    read_alone = lambda t: Photo(t, read(program, [*said([t], way), t["path"]]))
    photos = list(workers.map(read_alone, truths))
    readable = [p for p in photos if p.readable]
    clear = [p for p in readable if not p.truth.get("borderline")]
    unreadable = [p for p in photos if not p.readable]
    edges = [e for e in (p.edge_error() for p in readable) if e is not None]
    errors = [abs(p.change + p.error) for p in readable if p.change is not None and p.pattern in OF_TAPER - {"full-length"}]
    checks = whole_checks(program, truths, way, workers)
    dangerous = [sum(f(p) for p in photos) for f in (Photo.wrong_way, Photo.opposite, Photo.for_nothing)]
    answered = sum(not p.refused for p in readable)
    spoilt = sum(p.wrong_way() or p.cut_for_nothing() for p in photos)
    return {
        "wrong way / opposite pattern / change or *leave* without ground": " / ".join(map(str, dangerous)),
        "a cut the wrong way or for nothing, of the answered (95 % sure: at most)": f"{spoilt} of {answered} ({100 * upper(spoilt, answered):.2f} %)" if answered else "–",
        "readable photos answered": share(answered, len(readable)),
        "pattern right, where not near the limit between two": share(sum(p.pattern == p.truth.get("pattern") for p in clear), len(clear)),
        f"face found (overlap {FOUND} or more)": "given" if way == "corners" else share(sum(p.overlap() >= FOUND for p in readable), len(readable)),
        "unreadable photos refused": share(sum(p.refused for p in unreadable), len(unreadable)),
        "error of a band's edge, share of the length, median": f"{statistics.median(edges):.3f}" if edges else "–",
        "error of the change, one photo, thou per side, median": f"{statistics.median(errors):.2f}" if errors else "–",
        "whole checks with a change or *leave* (the wrong way)": checks,
        "crashes": str(sum(p.crashed for p in photos)),
    }


def whole_checks(program, truths, way, workers):
    groups = {}
    for truth in truths:
        if truth.get("jaw_set"):
            groups.setdefault((truth["jaw_set"], truth["check"]), []).append(truth)
    ordered = [sorted(g, key=lambda t: t["jaw"]) for g in groups.values()]
    changes = list(workers.map(lambda g: change_of(read(program, [*said(g, way), *(t["path"] for t in g)])), ordered))
    errors = [statistics.median(t["taper_error_um"] or 0 for t in g) / 25.4 for g in ordered]
    wrong = sum(turned(c, e) for c, e in zip(changes, errors))
    return f"{sum(c is not None for c in changes)} of {len(ordered)} ({wrong})" if ordered else "–"


def share(part, whole):
    return f"{100 * part / whole:.1f} % of {whole}" if whole else "–"


def without_jaw(program, folder, workers):
    """Patterns and advice where there is no jaw."""
    kinds = {".jpg", ".jpeg", ".png", ".webp"}
    files = [f for f in sorted(Path(folder).rglob("*")) if f.suffix.lower() in kinds]
    asked = [(f, tip, method) for f in files for tip in TIPS for method in ("seep", "transfer")]
    reports = workers.map(lambda a: read(program, ["--tip", a[1], "--method", a[2], str(a[0])]), asked)
    named = advised = 0
    for report in reports:
        photo = (report or {}).get("photos", [{}])[0]
        named += photo.get("pattern") not in (None, "unreadable")
        advised += ((report or {}).get("check") or {}).get("action") in ("leave", "recut")
    bound = 100 * upper(named, len(asked)) if asked else math.nan
    return f"{len(files)} pictures without a jaw, {len(asked)} readings: advice in {advised}, a pattern in {named} (at most {bound:.2f} %, 95 %)."


def upper(k, n):
    """Upper end of Clopper and Pearson's exact 95 % interval (Biometrika 26:404-413, 1934), by bisection."""
    low, high = k / n, 1.0
    for _ in range(60):
        p = (low + high) / 2
        below = sum(math.exp(math.lgamma(n + 1) - math.lgamma(i + 1) - math.lgamma(n - i + 1)
                             + i * math.log(p) + (n - i) * math.log1p(-p)) for i in range(k + 1)) if p < 1 else 0
        low, high = (p, high) if below > 0.025 else (low, p)
    return high


def table(program, folders, workers):
    lines = []
    for folder in folders:
        truths = list(truths_in(folder))
        columns = [measured(program, truths, way, workers) for way in WAYS]
        lines += [f"| {Path(folder).name}: {len(truths)} photos | face searched, tip told | corners given | no word of the tip |", "| --- | --- | --- | --- |"]
        lines += [f"| {name} | {' | '.join(c[name] for c in columns)} |" for name in columns[0]]
        lines.append("")
    return lines


def heading(program):
    version = subprocess.run([program, "--version"], capture_output=True, text=True, check=True).stdout.split("\n")[0].strip()
    today = datetime.date.today().isoformat()
    return f"Measured with `benches/figures.py` on {today}: {version}; {platform.machine()}, {os.cpu_count()} cores."


def main():
    arguments = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    arguments.add_argument("--program", default=str(ROOT / "target/release/seepline"))
    arguments.add_argument("--photos", nargs="*", default=[])
    arguments.add_argument("--without-jaw", nargs="*", default=[])
    arguments.add_argument("--write", type=Path)
    asked = arguments.parse_args()
    with ThreadPoolExecutor(os.cpu_count()) as workers:
        lines = [heading(asked.program), "", *table(asked.program, asked.photos, workers)]
        lines += [f"{Path(folder).name}: {without_jaw(asked.program, folder, workers)}" for folder in asked.without_jaw]
    text = "\n".join(lines).strip()
    print(text)
    if asked.write:
        page = asked.write.read_text()
        before, rest = page.split(BEGIN, 1)
        asked.write.write_text(f"{before}{BEGIN}\n{text}\n{END}{rest.split(END, 1)[1]}")


if __name__ == "__main__":
    sys.exit(main())
