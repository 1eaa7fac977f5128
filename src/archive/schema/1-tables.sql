-- Lengths and pressures are exact text with their unit ('76.2um', '2068.4271kPa'); times are local,
-- ISO 8601; enumerations are the words of the JSON; ids are 32 hexadecimal digits.
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

CREATE TABLE jaw_set_photos (
    jaw_set TEXT NOT NULL REFERENCES jaw_sets (id),
    position INTEGER NOT NULL,
    sha256 TEXT NOT NULL,
    PRIMARY KEY (jaw_set, position)
) STRICT, WITHOUT ROWID;

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

-- Apart from the readings, because they are a hundred times larger and seldom asked for.
CREATE TABLE reading_details (
    check_id TEXT NOT NULL,
    sha256 TEXT NOT NULL,
    detail TEXT NOT NULL,
    PRIMARY KEY (check_id, sha256),
    FOREIGN KEY (check_id, sha256) REFERENCES readings (check_id, sha256) ON DELETE CASCADE
) STRICT;
