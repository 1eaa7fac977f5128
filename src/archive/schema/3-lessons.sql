-- What each set teaches the others, so that an answer need not go over every check of the shop. Only kept
-- here, never the truth: whatever touches a set's records forgets it.
CREATE TABLE lessons (
    jaw_set TEXT PRIMARY KEY NOT NULL REFERENCES jaw_sets (id),
    -- Of the program and the rules that made it.
    version TEXT NOT NULL,
    lesson TEXT NOT NULL
) STRICT, WITHOUT ROWID;

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
