-- What was really spread after a sheet, and counted later.
ALTER TABLE sheets ADD COLUMN done TEXT CHECK (done IS NULL OR json_valid(done));
