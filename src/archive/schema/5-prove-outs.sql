-- What a shop fixed before it proved the program out, and the end of that.
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

-- What was answered at a check under a prove-out, as it was first given. Apart from the check, which holds only
-- what was said: where advice is held nothing else has it.
CREATE TABLE advised (
    check_id TEXT PRIMARY KEY NOT NULL REFERENCES checks (id),
    prove_out TEXT NOT NULL REFERENCES prove_outs (id),
    at TEXT NOT NULL,
    -- As JSON: pattern, and change with its interval; NULL where there was no answer.
    answer TEXT,
    changed TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX advised_under ON advised (prove_out);
