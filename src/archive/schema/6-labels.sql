-- What people corrected of single photos. Ids are random, as of calls.
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
CREATE INDEX labels_of_photo ON labels (photo, what);
CREATE INDEX labels_of_person ON labels (person);

CREATE TRIGGER label_stands BEFORE UPDATE OF photo, what, value, at ON labels
BEGIN SELECT raise(ABORT, 'a label that was given is not changed'); END;
