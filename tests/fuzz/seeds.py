"""Writes what the fuzz targets begin with to corpus/TARGET beside this script: the sample photos shrunk and in
several formats, the reference photos, the built-in rules, tables, archives of every layout, and requests to the
page. Folders given as arguments are pictures of others, taken in too: small ones as they are, others shrunk.

    python tests/fuzz/seeds.py [FOLDER...]

Tried with Python 3.11 and pillow 12.0.0.
"""

import hashlib
import io
import pathlib
import sqlite3
import sys
import tempfile

from PIL import Image

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent.parent
LARGEST_BYTES = 8 * 1024
# Of each folder of others, evenly taken.
MOST_PICTURES = 400


def seed(target, content):
    folder = HERE / "corpus" / target
    folder.mkdir(parents=True, exist_ok=True)
    (folder / hashlib.sha1(content).hexdigest()).write_bytes(content)


def as_bytes(picture, kind, **options):
    out = io.BytesIO()
    picture.convert("RGB").save(out, kind, **options)
    return out.getvalue()


def shrunk(path, side):
    with Image.open(path) as picture:
        picture.draft("RGB", (side * 2, side * 2))
        picture.thumbnail((side, side))
        return picture.convert("RGB")


def turned(orientation):
    notes = Image.Exif()
    notes[0x0112] = orientation
    return notes


def sample_pictures():
    for path in sorted((ROOT / "sample-images").rglob("*.jpg")):
        for side in (96, 240):
            picture = shrunk(path, side)
            yield as_bytes(picture, "JPEG", quality=70)
        yield as_bytes(picture, "JPEG", quality=60, progressive=True, exif=turned(6))
        yield as_bytes(shrunk(path, 64), "PNG")
        yield as_bytes(shrunk(path, 96), "WEBP", quality=60)
    for path in sorted((ROOT / "tests/reference/photos").iterdir()):
        yield path.read_bytes()


def pictures_of_others(folder):
    paths = sorted(p for p in pathlib.Path(folder).rglob("*") if p.is_file())
    for path in paths[:: max(1, -(-len(paths) // MOST_PICTURES))]:
        if path.stat().st_size <= LARGEST_BYTES:
            yield path.read_bytes()
            continue
        try:
            yield as_bytes(shrunk(path, 128), "JPEG", quality=70)
        except Exception:
            continue


def photos(folders):
    own, others = list(sample_pictures()), [p for f in folders for p in pictures_of_others(f)]
    for number, picture in enumerate(own + others):
        seed("photo", picture)
        # A whole reading takes longer than anything else here, so few of these.
        if len(picture) <= LARGEST_BYTES and (number < len(own) or number % 40 == 0):
            seed("whole", SAID[number % len(SAID)] + picture)


# What is said about a photo: method, tip, corners, grip, taper.
SAID = [b"\0\0\0\0", b"\3\7\x20\x20", b"\x0c\x40\xc0\x80"]


def rules():
    text = (ROOT / "src/taper/rules/rules.toml").read_bytes()
    seed("rules", text)
    for part in text.split(b"\n["):
        seed("rules", b"[" + part)


TABLES = [
    "name,grip,material,jaw_height,face_length,face_width,bored_diameter,workpiece,workpiece_diameter\n"
    "plover,inside,steel,2in,1.25in,40mm,101.6mm,\"ring, turned\",4in\nheron,,'=1+1,,,,,,\n",
    "id;name;machine;chuck;master_jaws;serration;boring_pressure;production_pressure;stock;photos;changed;hidden\n"
    ";wren;north;10 in;1-A;5;100psi;20bar;0um;;;0\r\n\r\n;Wren;south;;;;;;;;;\r\n",
    "\ufeffName\tBolt torque\tBored on\tNotes\nheron\t80\tplug\t\"two\nlines\"\n",
    "file,jaw_set,check,taper,grip,method,done\na.jpg,heron,1,3thou,outside,seep,cut again\n"
    "x\\b.jpg,wren,,0.05mm,inside,transfer,\njaw 1.jpg,,,3,,,\n",
    "number,pattern,reader,change_per_side,note\nAB,001,tip-only,-1thou,\n1,tip-only,AB,-1thou,sure\n"
    "2,Full length,ab,0,\n3,,,,\n4,base-only,,+0.01mm,\n9,mixed,,,\n",
    "photo,pattern,change_per_side,rests_on\na.jpg,tip-only,-25um,lead\nx/b.jpg,full-length,0,later cuts\n"
    "jaw 1.jpg,one-side,,\n",
    "a,b\n1,\"left open\n3,4\n",
    "\"name\"\n\"\"\n\"'-x\"\n",
]


def tables():
    for table in TABLES:
        seed("csv", table.encode())
        seed("csv", table.replace(",", ";").encode("utf-16"))


def archives():
    """Small pages, so that a changed byte more often lies in a record."""
    dumps = sorted((ROOT / "tests/archive/layouts").glob("*.sql"))
    for text in [*(d.read_text() for d in dumps), NEWER, ORDERS]:
        for wal in (False, True):
            seed("archive", database(text, wal))
    for other in (b"", b"notes\n" * 100, b"SQLite format 3\0"):
        seed("archive", other)


NEWER = "PRAGMA application_id = 1936024944; PRAGMA user_version = 999;"
ORDERS = "CREATE TABLE orders (id INTEGER); INSERT INTO orders VALUES (1);"


def database(text, wal):
    with tempfile.TemporaryDirectory() as folder:
        file = pathlib.Path(folder) / "archive.sqlite"
        db = sqlite3.connect(file, isolation_level=None)
        db.executescript("PRAGMA page_size = 512;" + text.replace("PRAGMA journal_mode = WAL;", ""))
        db.execute("VACUUM")
        db.execute(f"PRAGMA journal_mode = {'WAL' if wal else 'DELETE'}")
        db.close()
        return file.read_bytes()


PROOFS = [
    "person=JK\nbegun=2026-03-04T12:00:00\nchecks=4\nconfidence=0.95\nheld=1\nprogram=0.1.0\n",
    'counted=[]\nchecks=4999\nheld=0\n',
    'ended=NULL\nended_by=NULL\ncounted=NULL\n',
    'answer=NULL\nat=2026-03-05T08:00:00\nchanged=2026-03-05T08:00:00\n',
    'answer={"pattern":"base-only","change":{"low":"12.7um","median":"25.4um","high":"38.1um"}}\n',
    'answer={"pattern":"full-length","change":{"low":"0um","median":"0um","high":"0um"}}\nphone=Sandpiper P4\n',
    'counted=["dddddddddddddddddddddddddddddddd"]\nconfidence=1.5\npattern=base-only\n',
    'person=#482910\nended_by=#482910\nended=2026-03-05T08:00:00\nphone=NULL\n',
]


def proofs():
    for cells in PROOFS:
        seed("prove", cells.encode())
    seed("prove", "".join(PROOFS).encode())


FORM = "application/x-www-form-urlencoded"
JSON = "application/json"
REQUESTS = [
    ("GET /", "", "method=seep&grip=inside&tip=left&taper=76.2um", ""),
    ("GET /pair?key=0123456789abcdef0123456789abcdef", "", "", ""),
    ("POST /checks", FORM, "", "jaw_set=SET&taper=3&taper_unit=thou"),
    ("POST /checks", FORM, "tip=up", "method=transfer&grip=inside&taper=0.05mm&tip=down"),
    ("GET /checks/CHECK", "", "", ""),
    ("POST /checks/CHECK/settings", FORM, "", "taper=3&taper_unit=thou&length=1.25in&clearance=1mm&pressure=20bar"),
    ("POST /checks/CHECK/settings", FORM, "", "method=transfer&compound=blue+%26+red&tip="),
    ("POST /checks/CHECK/settings", FORM, "by=AB&call_first=yes", "by=AB&call_first=yes&taper=3&taper_unit=thou"),
    ("POST /checks/CHECK/call", FORM, "by=AB&call_first=yes", "pattern=tip-only&way=more&amount=1&unit=thou&stated=per+side"),
    ("POST /checks/CHECK/call", FORM, "by=AB&call_first=yes", "pattern=full-length&way=none&amount="),
    ("POST /api/checks/CHECK/call", JSON, "", '{"pattern": "base-only", "change": "-1thou on the diameter"}'),
    ("PATCH /api/checks/CHECK/settings", JSON, "", '{"by": "AB", "call_first": true}'),
    ("POST /checks/CHECK/photos/PHOTO/tip", FORM, "", "tip=left"),
    ("POST /checks/CHECK/photos/PHOTO/swap", FORM, "", ""),
    ("POST /checks/CHECK/photos/PHOTO/corners", FORM, "", "corners=10%2C10+90%2C10+90%2C90+10%2C90"),
    ("POST /checks/CHECK/photos/PHOTO/remove", FORM, "", ""),
    ("GET /checks/CHECK/photos/PHOTO/picture?v=1", "", "", ""),
    ("GET /checks/CHECK/photos/PHOTO/profile", "", "", ""),
    ("POST /checks/CHECK/file", FORM, "", ""),
    ("POST /checks/CHECK/discard", FORM, "", ""),
    ("GET /sets/SET", "", "", ""),
    ("GET /sets/SET/history.svg", "", "", ""),
    ("GET /filed/FILED", "", "", ""),
    ("POST /filed/FILED/done", FORM, "", "done=cut+0.5+thou"),
    ("GET /api/sets", "", "", ""),
    ("GET /api/sets/SET/history", "", "", ""),
    ("POST /api/checks", JSON, "", '{"jaw_set": null, "method": "seep", "taper": "3 thou", "tip": "up"}'),
    ("PATCH /api/checks/CHECK/settings", JSON, "", '{"length": "30mm", "clearance": null}'),
    ("PATCH /api/checks/CHECK/photos/PHOTO", JSON, "", '{"corners_px": [[10, 10], [90, 10], [90, 90], [10, 90]]}'),
    ("PATCH /api/checks/CHECK/photos/PHOTO", JSON, "", '{"swap": true}'),
    ("DELETE /api/checks/CHECK/photos/PHOTO", "", "", ""),
    ("GET /api/checks/CHECK/report", "", "", ""),
    ("POST /api/checks/CHECK/file", "", "", ""),
    ("GET /api/filed/FILED", "", "", ""),
    ("POST /api/filed/FILED/done", JSON, "", '{"done": "nothing"}'),
    ("DELETE /api/checks/CHECK", "", "", ""),
    ("GET /api/openapi.json", "", "", ""),
    ("OPTIONS /nowhere", "", "", ""),
]


def part(disposition, content, kind=None):
    kind = f"Content-Type: {kind}\r\n" if kind else ""
    head = f'--B\r\nContent-Disposition: form-data; {disposition}\r\n{kind}\r\n'
    return head.encode() + content + b"\r\n"


def requests():
    for first, kind, last, body in REQUESTS:
        seed("web", "\n".join([first, kind, last, body]).encode())
    path = "POST /checks/CHECK/photos\nmultipart/form-data; boundary=B\n\n".encode()
    photos = [p for p in sample_pictures() if len(p) <= 3000][:6]
    for number, photo in enumerate([*photos, b"no photo", b""]):
        name = f'name="photo"; filename="C:\\jaw {number}.jpg"'
        one = part('name="jaw"', b"2") + part(name, photo, "image/jpeg")
        seed("web", path + one + b"--B--\r\n")
        seed("web", path + one + part('name="photo"; filename="x"', photos[0]) + b"--B--\r\n")
        seed("web", b"POST /api/checks/CHECK/photos?jaw=2&name=a%2Fb.jpg\nimage/jpeg\n\n" + photo)
    seed("web", path + part('name="other"', b"1") + b"--B--\r\n")
    seed("web", path + part('name="jaw"', b"99")[:40])


if __name__ == "__main__":
    photos(sys.argv[1:])
    rules()
    tables()
    archives()
    proofs()
    requests()
