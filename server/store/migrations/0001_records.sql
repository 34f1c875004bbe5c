-- Ids are UUIDv7 text. Figures carry their unit in the column's name. Days are
-- YYYY-MM-DD and instants RFC 3339 in UTC. JSON columns hold documents that
-- the program checks before it keeps them.

CREATE TABLE properties (
  id TEXT PRIMARY KEY,
  revision INTEGER NOT NULL CHECK (revision >= 1),
  created_at TEXT NOT NULL,
  updated_at TEXT NOT NULL,
  name TEXT NOT NULL CHECK (name <> ''),
  note TEXT NOT NULL
) STRICT;

-- num is what the table of boxes refers to: a rowid that VACUUM keeps.
CREATE TABLE plots (
  num INTEGER PRIMARY KEY,
  id TEXT NOT NULL UNIQUE,
  revision INTEGER NOT NULL CHECK (revision >= 1),
  created_at TEXT NOT NULL,
  updated_at TEXT NOT NULL,
  property_id TEXT NOT NULL REFERENCES properties (id) ON DELETE RESTRICT,
  name TEXT NOT NULL CHECK (name <> ''),
  note TEXT NOT NULL,
  outline TEXT CHECK (outline IS NULL OR json_valid(outline)),
  keep_off TEXT CHECK (keep_off IS NULL OR json_valid(keep_off)),
  driver TEXT CHECK (driver IS NULL OR json_valid(driver)),
  west_deg REAL,
  south_deg REAL,
  east_deg REAL,
  north_deg REAL,
  CHECK ((outline IS NULL) = (west_deg IS NULL))
) STRICT;
CREATE INDEX plots_by_property ON plots (property_id, id);

-- The boxes of the plots, kept in step by triggers so that they cannot drift.
-- A plot across the antimeridian runs past 180 and has a second box, under the
-- negative number, on the other side of the world's seam.
CREATE VIRTUAL TABLE plot_boxes USING rtree (num, west_deg, east_deg, south_deg, north_deg);

CREATE TRIGGER plots_box_added AFTER INSERT ON plots WHEN NEW.west_deg IS NOT NULL BEGIN
  INSERT INTO plot_boxes VALUES (NEW.num, NEW.west_deg, NEW.east_deg, NEW.south_deg, NEW.north_deg);
  INSERT INTO plot_boxes
    SELECT -NEW.num, NEW.west_deg - 360, NEW.east_deg - 360, NEW.south_deg, NEW.north_deg WHERE NEW.east_deg > 180;
END;
CREATE TRIGGER plots_box_moved AFTER UPDATE OF west_deg, south_deg, east_deg, north_deg ON plots BEGIN
  DELETE FROM plot_boxes WHERE num IN (NEW.num, -NEW.num);
  INSERT INTO plot_boxes
    SELECT NEW.num, NEW.west_deg, NEW.east_deg, NEW.south_deg, NEW.north_deg WHERE NEW.west_deg IS NOT NULL;
  INSERT INTO plot_boxes
    SELECT -NEW.num, NEW.west_deg - 360, NEW.east_deg - 360, NEW.south_deg, NEW.north_deg WHERE NEW.east_deg > 180;
END;
CREATE TRIGGER plots_box_gone AFTER DELETE ON plots BEGIN
  DELETE FROM plot_boxes WHERE num IN (OLD.num, -OLD.num);
END;

CREATE TABLE surveys (
  id TEXT PRIMARY KEY,
  revision INTEGER NOT NULL CHECK (revision >= 1),
  created_at TEXT NOT NULL,
  updated_at TEXT NOT NULL,
  plot_id TEXT NOT NULL REFERENCES plots (id) ON DELETE CASCADE,
  method TEXT NOT NULL CHECK (method IN ('guessed', 'paced', 'taped', 'drawn', 'walked', 'uploaded')),
  date TEXT NOT NULL,
  area_m2 REAL NOT NULL CHECK (area_m2 > 0),
  perimeter_m REAL NOT NULL CHECK (perimeter_m >= 0),
  uncertainty_m2 REAL NOT NULL CHECK (uncertainty_m2 >= 0),
  note TEXT NOT NULL,
  outline TEXT CHECK (outline IS NULL OR json_valid(outline)),
  dimensions TEXT CHECK (dimensions IS NULL OR json_valid(dimensions)),
  in_use INTEGER NOT NULL CHECK (in_use IN (0, 1))
) STRICT;
CREATE INDEX surveys_by_plot ON surveys (plot_id, id);
CREATE UNIQUE INDEX surveys_one_in_use ON surveys (plot_id) WHERE in_use = 1;

CREATE TABLE spreaders (
  id TEXT PRIMARY KEY,
  revision INTEGER NOT NULL CHECK (revision >= 1),
  created_at TEXT NOT NULL,
  updated_at TEXT NOT NULL,
  name TEXT NOT NULL CHECK (name <> ''),
  document TEXT NOT NULL CHECK (json_valid(document))
) STRICT;

CREATE TABLE mixes (
  id TEXT PRIMARY KEY,
  revision INTEGER NOT NULL CHECK (revision >= 1),
  created_at TEXT NOT NULL,
  updated_at TEXT NOT NULL,
  name TEXT NOT NULL CHECK (name <> ''),
  document TEXT NOT NULL CHECK (json_valid(document))
) STRICT;

-- A sheet is a record of what was worked out: it outlives the spreader and the
-- mix, and it keeps its plot from being deleted.
CREATE TABLE sheets (
  id TEXT PRIMARY KEY,
  revision INTEGER NOT NULL CHECK (revision >= 1),
  created_at TEXT NOT NULL,
  updated_at TEXT NOT NULL,
  plot_id TEXT NOT NULL REFERENCES plots (id) ON DELETE RESTRICT,
  spreader_id TEXT REFERENCES spreaders (id) ON DELETE SET NULL,
  mix_id TEXT REFERENCES mixes (id) ON DELETE SET NULL,
  date TEXT NOT NULL,
  note TEXT NOT NULL,
  options TEXT CHECK (options IS NULL OR json_valid(options)),
  result TEXT NOT NULL CHECK (json_valid(result))
) STRICT;
CREATE INDEX sheets_by_plot ON sheets (plot_id, id);
CREATE INDEX sheets_by_spreader ON sheets (spreader_id);
CREATE INDEX sheets_by_mix ON sheets (mix_id);
