-- A name belongs to one set that can be seen; hidden sets free theirs.
CREATE UNIQUE INDEX jaw_sets_name ON jaw_sets (name_key) WHERE hidden = 0;
-- Timelines, and the last cut and check of every set.
CREATE INDEX cuts_of_set ON cuts (jaw_set, hidden, made, id);
CREATE INDEX checks_of_set ON checks (jaw_set, hidden, made, id);
CREATE INDEX checks_of_cut ON checks (cut, hidden, made, id);
-- Whether a photo is filed already.
CREATE INDEX readings_of_photo ON readings (sha256);
