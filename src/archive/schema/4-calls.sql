-- What people say of checks and photos before the reading is shown ('check', 'practice', 'study'), and a
-- lead's word on what was right ('ruling'). Ids are random: one that followed from the person could be
-- traced back after the person was erased.
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

-- A person calls a check once.
CREATE UNIQUE INDEX calls_once ON calls (check_id, person) WHERE kind = 'check' AND hidden = 0;
CREATE INDEX calls_of_check ON calls (check_id, hidden);
CREATE INDEX calls_of_person ON calls (person, hidden);

CREATE TRIGGER call_stands BEFORE UPDATE OF kind, photo, session, pattern, change, at, told ON calls
BEGIN SELECT raise(ABORT, 'a call that was made is not changed'); END;

CREATE TABLE people (
    person TEXT PRIMARY KEY NOT NULL,
    call_first INTEGER NOT NULL CHECK (call_first IN (0, 1)),
    lead INTEGER NOT NULL CHECK (lead IN (0, 1)),
    changed TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE settings (
    name TEXT PRIMARY KEY NOT NULL,
    value TEXT NOT NULL,
    changed TEXT NOT NULL
) STRICT, WITHOUT ROWID;
