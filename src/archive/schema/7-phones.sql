-- Of which kind the camera was: maker and model as it wrote them; NULL where it did not, and of photos filed before.
ALTER TABLE readings ADD COLUMN phone TEXT;
