-- +goose Up
-- What was found of each gauge: calibrations, and checks on a block.
CREATE TABLE gauge_calibration (
  id INTEGER PRIMARY KEY,
  gauge_id INTEGER NOT NULL REFERENCES gauge (id),
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL,
  certificate TEXT NOT NULL,
  verdict TEXT NOT NULL,
  due_day TEXT NOT NULL
) STRICT;
CREATE INDEX calibration_of_gauge ON gauge_calibration (gauge_id, at);
CREATE TABLE calibration_point (
  calibration_id INTEGER NOT NULL REFERENCES gauge_calibration (id),
  place INTEGER NOT NULL,
  point_text TEXT NOT NULL, point_unit TEXT NOT NULL, point_base REAL NOT NULL,
  found_text TEXT NOT NULL, found_unit TEXT NOT NULL, found_base REAL NOT NULL,
  left_text TEXT, left_unit TEXT, left_base REAL,
  PRIMARY KEY (calibration_id, place)
) STRICT, WITHOUT ROWID;
CREATE TABLE gauge_check (
  id INTEGER PRIMARY KEY,
  gauge_id INTEGER NOT NULL REFERENCES gauge (id),
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL,
  block_text TEXT NOT NULL, block_unit TEXT NOT NULL, block_mm REAL NOT NULL,
  read_text TEXT NOT NULL, read_unit TEXT NOT NULL, read_mm REAL NOT NULL,
  limit_text TEXT NOT NULL, limit_unit TEXT NOT NULL, limit_mm REAL NOT NULL,
  verdict TEXT NOT NULL
) STRICT;
CREATE INDEX check_of_gauge ON gauge_check (gauge_id, at);
