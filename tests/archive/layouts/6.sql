-- An archive with layout 6, as `.dump` gives it, with the two numbers that a dump leaves out.
PRAGMA foreign_keys = OFF;
BEGIN TRANSACTION;
CREATE TABLE advised (
    check_id TEXT PRIMARY KEY NOT NULL REFERENCES checks (id),
    prove_out TEXT NOT NULL REFERENCES prove_outs (id),
    at TEXT NOT NULL,
    -- As JSON: pattern, and change with its interval; NULL where there was no answer.
    answer TEXT,
    changed TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE calls (
    id TEXT PRIMARY KEY NOT NULL,
    kind TEXT NOT NULL,
    -- Initials or a shop number; '#' and a random number after erasing.
    person TEXT NOT NULL,
    check_id TEXT REFERENCES checks (id),
    -- SHA-256 of a photo that need not be in the archive.
    photo TEXT,
    -- One run of practice, or one study.
    session TEXT,
    pattern TEXT NOT NULL,
    -- 'leave', 'none', or exact and signed, per side: '-25.4um'.
    change TEXT NOT NULL,
    at TEXT NOT NULL,
    -- When what is right was shown to the person.
    revealed TEXT,
    -- As JSON, what was shown then in practice and studies.
    told TEXT,
    changed TEXT NOT NULL,
    hidden INTEGER NOT NULL DEFAULT 0 CHECK (hidden IN (0, 1)),
    CHECK ((check_id IS NULL) <> (photo IS NULL))
) STRICT;
INSERT INTO "calls" VALUES('eeeeeeeeeeeeeeeeeeeeeeeeeeeeeeee','check','AB','dddddddddddddddddddddddddddddddd',NULL,NULL,'tip-only','-25.4um','2026-03-04T09:05:00','2026-03-04T09:05:00',NULL,'2026-03-04T09:05:00',0);
CREATE TABLE checks (
    id TEXT PRIMARY KEY NOT NULL,
    cut TEXT NOT NULL,
    jaw_set TEXT NOT NULL,
    made TEXT NOT NULL,
    method TEXT NOT NULL,
    compound TEXT,
    pressure TEXT,
    machine TEXT,
    chuck TEXT,
    master_jaws TEXT,
    serration TEXT,
    program TEXT NOT NULL,
    rules TEXT NOT NULL,
    pattern TEXT NOT NULL,
    action TEXT NOT NULL,
    change TEXT,
    low TEXT,
    high TEXT,
    next_taper TEXT,
    what_to_do TEXT NOT NULL,
    why TEXT NOT NULL,
    done TEXT,
    changed TEXT NOT NULL,
    hidden INTEGER NOT NULL DEFAULT 0 CHECK (hidden IN (0, 1)),
    FOREIGN KEY (cut, jaw_set) REFERENCES cuts (id, jaw_set)
) STRICT;
INSERT INTO "checks" VALUES('dddddddddddddddddddddddddddddddd','c2000000000000000000000000000000','aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa','2026-03-04T09:00:00','seep','blue','2068.4271kPa',NULL,NULL,NULL,NULL,'0.2.0','1','tip-only','recut','-12.7um','-25.4um','-6um','38.1um','Take off taper.','The base is open.',NULL,'2026-03-04T09:00:00',0);
CREATE TABLE cuts (
    id TEXT PRIMARY KEY NOT NULL,
    jaw_set TEXT NOT NULL REFERENCES jaw_sets (id),
    made TEXT NOT NULL,
    diameter TEXT,
    depth TEXT,
    taper TEXT,
    boring_pressure TEXT,
    skimmed TEXT,
    stock_left TEXT,
    machine TEXT,
    chuck TEXT,
    master_jaws TEXT,
    serration TEXT,
    notes TEXT,
    changed TEXT NOT NULL,
    hidden INTEGER NOT NULL DEFAULT 0 CHECK (hidden IN (0, 1)),
    UNIQUE (id, jaw_set)
) STRICT;
INSERT INTO "cuts" VALUES('c1000000000000000000000000000000','aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa','2026-03-01T08:00:00',NULL,NULL,'76.2um',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'2026-03-01T08:00:00',0);
INSERT INTO "cuts" VALUES('c2000000000000000000000000000000','aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa','2026-03-04T08:00:00',NULL,NULL,'50.8um',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'2026-03-04T08:00:00',0);
CREATE TABLE jaw_set_photos (
    jaw_set TEXT NOT NULL REFERENCES jaw_sets (id),
    position INTEGER NOT NULL,
    sha256 TEXT NOT NULL,
    PRIMARY KEY (jaw_set, position)
) STRICT, WITHOUT ROWID;
CREATE TABLE jaw_sets (
    id TEXT PRIMARY KEY NOT NULL,
    name TEXT NOT NULL,
    grip TEXT NOT NULL,
    material TEXT,
    jaw_height TEXT,
    face_length TEXT,
    face_width TEXT,
    bored_diameter TEXT,
    workpiece TEXT,
    workpiece_diameter TEXT,
    machine TEXT,
    chuck TEXT,
    master_jaws TEXT,
    serration TEXT,
    boring_pressure TEXT,
    production_pressure TEXT,
    bolt_torque TEXT,
    bored_on TEXT,
    stock TEXT,
    notes TEXT,
    changed TEXT NOT NULL,
    hidden INTEGER NOT NULL DEFAULT 0 CHECK (hidden IN (0, 1)),
    -- What names are compared by: trimmed, single spaces, lower case of all alphabets.
    name_key TEXT NOT NULL,
    -- All text fields in lower case, for finding.
    words TEXT NOT NULL,
    -- For ranges and sorting only; the exact text above is the truth.
    workpiece_diameter_um REAL
) STRICT;
INSERT INTO "jaw_sets" VALUES('aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa','Heron','outside','steel',NULL,'31750um',NULL,NULL,NULL,NULL,'north lathe',NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,'2026-03-04T10:00:00',0,'heron','heron
steel
north lathe',NULL);
CREATE TABLE labels (
    id TEXT PRIMARY KEY NOT NULL,
    -- SHA-256 of the photo.
    photo TEXT NOT NULL,
    -- 'corners', 'tip' or 'pattern'.
    what TEXT NOT NULL,
    -- As JSON: four points, a direction, a pattern.
    value TEXT NOT NULL,
    -- Initials or a shop number; '#' and a random number after erasing; NULL where nobody said who it was.
    person TEXT,
    at TEXT NOT NULL,
    changed TEXT NOT NULL
) STRICT;
INSERT INTO "labels" VALUES('f0000000000000000000000000000000','1111111111111111111111111111111111111111111111111111111111111111','pattern','"tip-only"','JK','2026-03-04T09:30:00','2026-03-04T09:30:00');
CREATE TABLE lessons (
    jaw_set TEXT PRIMARY KEY NOT NULL REFERENCES jaw_sets (id),
    -- Of the program and the rules that made it.
    version TEXT NOT NULL,
    lesson TEXT NOT NULL
) STRICT, WITHOUT ROWID;
INSERT INTO "lessons" VALUES('aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa','0.1.0 1','{"name":"heron","material":null,"jaw_height":null,"thresholds":[],"points":[]}');
CREATE TABLE people (
    person TEXT PRIMARY KEY NOT NULL,
    call_first INTEGER NOT NULL CHECK (call_first IN (0, 1)),
    lead INTEGER NOT NULL CHECK (lead IN (0, 1)),
    changed TEXT NOT NULL
) STRICT, WITHOUT ROWID;
INSERT INTO "people" VALUES('AB',1,0,'2026-03-04T09:00:00');
INSERT INTO "people" VALUES('JK',0,1,'2026-03-04T09:30:00');
CREATE TABLE prove_outs (
    id TEXT PRIMARY KEY NOT NULL,
    -- The lead who began it: initials or a shop number; '#' and a random number after erasing.
    person TEXT NOT NULL,
    begun TEXT NOT NULL,
    checks INTEGER NOT NULL CHECK (checks > 0),
    confidence REAL NOT NULL,
    held INTEGER NOT NULL CHECK (held IN (0, 1)),
    program TEXT NOT NULL,
    ended TEXT,
    ended_by TEXT,
    -- As JSON, the ids of the checks that were answered and judged by then.
    counted TEXT,
    changed TEXT NOT NULL,
    CHECK ((ended IS NULL) = (ended_by IS NULL) AND (ended IS NULL) = (counted IS NULL))
) STRICT;
INSERT INTO "prove_outs" VALUES('5d1f0b7c2a9e4c6d8b3f7a1e0c9d2b4f','JK','2026-04-01T08:00:00',12,0.95,0,'0.2.0',NULL,NULL,NULL,'2026-04-01T08:00:00');
CREATE TABLE reading_details (
    check_id TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    detail TEXT NOT NULL,
    PRIMARY KEY (check_id, sha256),
    FOREIGN KEY (check_id, sha256) REFERENCES readings (check_id, sha256) ON DELETE CASCADE
) STRICT;
INSERT INTO "reading_details" VALUES('dddddddddddddddddddddddddddddddd','1111111111111111111111111111111111111111111111111111111111111111','{"file":"jaw1.jpg"}');
INSERT INTO "reading_details" VALUES('dddddddddddddddddddddddddddddddd','2222222222222222222222222222222222222222222222222222222222222222','{"file":"jaw2.jpg"}');
CREATE TABLE readings (
    check_id TEXT NOT NULL REFERENCES checks (id),
    position INTEGER NOT NULL,
    sha256 TEXT NOT NULL,
    file TEXT NOT NULL,
    taken TEXT,
    pattern TEXT NOT NULL,
    confidence REAL NOT NULL,
    refusal TEXT,
    open_end TEXT,
    open_fraction REAL,
    open_sd REAL,
    PRIMARY KEY (check_id, position),
    UNIQUE (check_id, sha256)
) STRICT, WITHOUT ROWID;
INSERT INTO "readings" VALUES('dddddddddddddddddddddddddddddddd',0,'1111111111111111111111111111111111111111111111111111111111111111','jaw1.jpg','2026-03-04T09:00:00','tip-only',0.97,NULL,'base',0.4,0.03);
INSERT INTO "readings" VALUES('dddddddddddddddddddddddddddddddd',1,'2222222222222222222222222222222222222222222222222222222222222222','jaw2.jpg','2026-03-04T09:00:00','tip-only',0.97,NULL,'base',0.4,0.03);
CREATE TABLE settings (
    name TEXT PRIMARY KEY NOT NULL,
    value TEXT NOT NULL,
    changed TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX jaw_sets_name ON jaw_sets (name_key) WHERE hidden = 0;
CREATE INDEX cuts_of_set ON cuts (jaw_set, hidden, made, id);
CREATE INDEX checks_of_set ON checks (jaw_set, hidden, made, id);
CREATE INDEX checks_of_cut ON checks (cut, hidden, made, id);
CREATE INDEX readings_of_photo ON readings (sha256);
CREATE TRIGGER jaw_set_changed AFTER UPDATE ON jaw_sets
BEGIN DELETE FROM lessons WHERE jaw_set = NEW.id; END;
CREATE TRIGGER cut_added AFTER INSERT ON cuts
BEGIN DELETE FROM lessons WHERE jaw_set = NEW.jaw_set; END;
CREATE TRIGGER cut_changed AFTER UPDATE ON cuts
BEGIN DELETE FROM lessons WHERE jaw_set = NEW.jaw_set; END;
CREATE TRIGGER check_added AFTER INSERT ON checks
BEGIN DELETE FROM lessons WHERE jaw_set = NEW.jaw_set; END;
CREATE TRIGGER check_changed AFTER UPDATE ON checks
BEGIN DELETE FROM lessons WHERE jaw_set = NEW.jaw_set; END;
CREATE TRIGGER reading_added AFTER INSERT ON readings
BEGIN DELETE FROM lessons WHERE jaw_set = (SELECT jaw_set FROM checks WHERE id = NEW.check_id); END;
CREATE TRIGGER reading_changed AFTER UPDATE ON readings
BEGIN DELETE FROM lessons WHERE jaw_set = (SELECT jaw_set FROM checks WHERE id = NEW.check_id); END;
CREATE TRIGGER reading_removed AFTER DELETE ON readings
BEGIN DELETE FROM lessons WHERE jaw_set = (SELECT jaw_set FROM checks WHERE id = OLD.check_id); END;
CREATE UNIQUE INDEX calls_once ON calls (check_id, person) WHERE kind = 'check' AND hidden = 0;
CREATE INDEX calls_of_check ON calls (check_id, hidden);
CREATE INDEX calls_of_person ON calls (person, hidden);
CREATE TRIGGER call_stands BEFORE UPDATE OF kind, photo, session, pattern, change, at, told ON calls
BEGIN SELECT raise(ABORT, 'a call that was made is not changed'); END;
CREATE INDEX advised_under ON advised (prove_out);
CREATE INDEX labels_of_photo ON labels (photo, what);
CREATE INDEX labels_of_person ON labels (person);
CREATE TRIGGER label_stands BEFORE UPDATE OF photo, what, value, at ON labels
BEGIN SELECT raise(ABORT, 'a label that was given is not changed'); END;
COMMIT;
PRAGMA application_id = 1936024944;
PRAGMA user_version = 6;
PRAGMA journal_mode = WAL;
