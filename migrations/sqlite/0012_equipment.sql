-- +goose Up
-- What the shop works with and how it is kept fit: sensors and their tests,
-- surveys, safety tests, recipes, setters, ovens, carriers, cutters,
-- controller versions, checks of machines, and work done on any of them.
ALTER TABLE furnace ADD COLUMN sat_text TEXT;
ALTER TABLE furnace ADD COLUMN sat_unit TEXT;
ALTER TABLE furnace ADD COLUMN sat_k REAL;
ALTER TABLE furnace ADD COLUMN tus_text TEXT;
ALTER TABLE furnace ADD COLUMN tus_unit TEXT;
ALTER TABLE furnace ADD COLUMN tus_k REAL;
ALTER TABLE furnace ADD COLUMN sat_days INTEGER NOT NULL DEFAULT 0;
ALTER TABLE furnace ADD COLUMN tus_days INTEGER NOT NULL DEFAULT 0;
ALTER TABLE furnace_load ADD COLUMN clock_text TEXT;
ALTER TABLE furnace_load ADD COLUMN clock_unit TEXT;
ALTER TABLE furnace_load ADD COLUMN clock_s REAL;
ALTER TABLE load_item ADD COLUMN lying TEXT NOT NULL DEFAULT '';
ALTER TABLE print ADD COLUMN room_text TEXT;
ALTER TABLE print ADD COLUMN room_unit TEXT;
ALTER TABLE print ADD COLUMN room_c REAL;
ALTER TABLE print ADD COLUMN humidity_text TEXT;
ALTER TABLE print ADD COLUMN humidity_unit TEXT;
ALTER TABLE print ADD COLUMN humidity_pct REAL;
ALTER TABLE print ADD COLUMN controller TEXT NOT NULL DEFAULT '';
ALTER TABLE layers_made ADD COLUMN cut_text TEXT;
ALTER TABLE layers_made ADD COLUMN cut_unit TEXT;
ALTER TABLE layers_made ADD COLUMN cut_s REAL;
CREATE TABLE furnace_test_needed (
  furnace_id INTEGER NOT NULL REFERENCES furnace (id),
  place INTEGER NOT NULL,
  test TEXT NOT NULL,
  PRIMARY KEY (furnace_id, place)
) STRICT, WITHOUT ROWID;
CREATE TABLE furnace_test (
  id INTEGER PRIMARY KEY,
  furnace_id INTEGER NOT NULL REFERENCES furnace (id),
  load_id INTEGER NOT NULL REFERENCES furnace_load (id),
  test TEXT NOT NULL,
  verdict TEXT NOT NULL,
  note TEXT NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL
) STRICT;
CREATE INDEX furnace_test_of_load ON furnace_test (load_id);
CREATE TABLE sensor (
  id INTEGER PRIMARY KEY,
  sensor TEXT NOT NULL UNIQUE,
  furnace_id INTEGER NOT NULL REFERENCES furnace (id),
  zone TEXT NOT NULL,
  type TEXT NOT NULL,
  certificate TEXT NOT NULL,
  fitted_at TEXT NOT NULL,
  removed_at TEXT,
  code TEXT NOT NULL
) STRICT;
CREATE INDEX sensor_of_furnace ON sensor (furnace_id);
CREATE TABLE sensor_test (
  id INTEGER PRIMARY KEY,
  sensor_id INTEGER NOT NULL REFERENCES sensor (id),
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL,
  set_text TEXT NOT NULL, set_unit TEXT NOT NULL, set_c REAL NOT NULL,
  read_text TEXT NOT NULL, read_unit TEXT NOT NULL, read_c REAL NOT NULL,
  reference_text TEXT NOT NULL, reference_unit TEXT NOT NULL, reference_c REAL NOT NULL,
  limit_text TEXT NOT NULL, limit_unit TEXT NOT NULL, limit_k REAL NOT NULL,
  verdict TEXT NOT NULL,
  due_day TEXT NOT NULL
) STRICT;
CREATE INDEX sensor_test_of_sensor ON sensor_test (sensor_id, at);
CREATE TABLE survey (
  id INTEGER PRIMARY KEY,
  furnace_id INTEGER NOT NULL REFERENCES furnace (id),
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL,
  set_text TEXT NOT NULL, set_unit TEXT NOT NULL, set_c REAL NOT NULL,
  limit_text TEXT NOT NULL, limit_unit TEXT NOT NULL, limit_k REAL NOT NULL,
  verdict TEXT NOT NULL,
  due_day TEXT NOT NULL
) STRICT;
CREATE INDEX survey_of_furnace ON survey (furnace_id, at);
CREATE TABLE survey_zone (
  survey_id INTEGER NOT NULL REFERENCES survey (id),
  place INTEGER NOT NULL,
  zone TEXT NOT NULL,
  off_text TEXT NOT NULL, off_unit TEXT NOT NULL, off_k REAL NOT NULL,
  PRIMARY KEY (survey_id, place)
) STRICT, WITHOUT ROWID;
CREATE TABLE recipe (
  id INTEGER PRIMARY KEY,
  recipe TEXT NOT NULL UNIQUE,
  number TEXT NOT NULL,
  revision TEXT NOT NULL,
  used_for TEXT NOT NULL,
  soak_text TEXT NOT NULL, soak_unit TEXT NOT NULL, soak_c REAL NOT NULL,
  band_text TEXT NOT NULL, band_unit TEXT NOT NULL, band_k REAL NOT NULL,
  time_text TEXT NOT NULL, time_unit TEXT NOT NULL, time_s REAL NOT NULL,
  tolerance_text TEXT NOT NULL, tolerance_unit TEXT NOT NULL, tolerance_s REAL NOT NULL,
  dew_text TEXT, dew_unit TEXT, dew_c REAL,
  steps TEXT NOT NULL,
  released_at TEXT NOT NULL,
  released_by TEXT NOT NULL,
  superseded_by TEXT NOT NULL,
  superseded_at TEXT
) STRICT;
CREATE TABLE setter (
  id INTEGER PRIMARY KEY,
  setter TEXT NOT NULL UNIQUE,
  cycles INTEGER NOT NULL,
  life INTEGER NOT NULL,
  code TEXT NOT NULL
) STRICT;
CREATE INDEX load_item_setter ON load_item (setter);
CREATE TABLE oven (
  id INTEGER PRIMARY KEY,
  oven TEXT NOT NULL UNIQUE,
  shelves INTEGER NOT NULL,
  limit_text TEXT NOT NULL, limit_unit TEXT NOT NULL, limit_c REAL NOT NULL,
  code TEXT NOT NULL
) STRICT;
CREATE TABLE carrier (
  id INTEGER PRIMARY KEY,
  carrier TEXT NOT NULL UNIQUE,
  type TEXT NOT NULL,
  code TEXT NOT NULL
) STRICT;
CREATE INDEX insert_on_carrier ON mould_insert (carrier) WHERE carrier <> '';
CREATE TABLE cutter (
  id INTEGER PRIMARY KEY,
  cutter TEXT NOT NULL UNIQUE,
  machine_id INTEGER NOT NULL REFERENCES machine (id),
  diameter_text TEXT NOT NULL, diameter_unit TEXT NOT NULL, diameter_mm REAL NOT NULL,
  life_text TEXT NOT NULL, life_unit TEXT NOT NULL, life_s REAL NOT NULL,
  offset_text TEXT, offset_unit TEXT, offset_mm REAL,
  fitted_at TEXT NOT NULL,
  removed_at TEXT,
  code TEXT NOT NULL
) STRICT;
CREATE INDEX cutter_in_machine ON cutter (machine_id);
CREATE INDEX layers_made_cutter ON layers_made (cutter) WHERE cutter <> '';
CREATE TABLE controller (
  id INTEGER PRIMARY KEY,
  machine_id INTEGER NOT NULL REFERENCES machine (id),
  version TEXT NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL
) STRICT;
CREATE INDEX controller_of_machine ON controller (machine_id, at);
CREATE TABLE machine_check (
  id INTEGER PRIMARY KEY,
  machine_id INTEGER NOT NULL REFERENCES machine (id),
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL,
  report TEXT NOT NULL,
  verdict TEXT NOT NULL,
  due_day TEXT NOT NULL
) STRICT;
CREATE INDEX machine_check_of_machine ON machine_check (machine_id, at);
CREATE TABLE service (
  id INTEGER PRIMARY KEY,
  on_kind TEXT NOT NULL,
  on_code TEXT NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL,
  what TEXT NOT NULL
) STRICT;
CREATE INDEX service_of ON service (on_kind, on_code);
