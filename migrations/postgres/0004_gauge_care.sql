-- +goose Up
-- What was found of each gauge: calibrations, and checks on a block.
CREATE TABLE gauge_calibration (
  id BIGINT PRIMARY KEY,
  gauge_id BIGINT NOT NULL REFERENCES gauge (id),
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL,
  certificate TEXT COLLATE "C" NOT NULL,
  verdict TEXT COLLATE "C" NOT NULL,
  due_day TEXT COLLATE "C" NOT NULL
);
CREATE INDEX calibration_of_gauge ON gauge_calibration (gauge_id, at);
CREATE TABLE calibration_point (
  calibration_id BIGINT NOT NULL REFERENCES gauge_calibration (id),
  place BIGINT NOT NULL,
  point_text TEXT COLLATE "C" NOT NULL, point_unit TEXT COLLATE "C" NOT NULL, point_base DOUBLE PRECISION NOT NULL,
  found_text TEXT COLLATE "C" NOT NULL, found_unit TEXT COLLATE "C" NOT NULL, found_base DOUBLE PRECISION NOT NULL,
  left_text TEXT COLLATE "C", left_unit TEXT COLLATE "C", left_base DOUBLE PRECISION,
  PRIMARY KEY (calibration_id, place)
);
CREATE TABLE gauge_check (
  id BIGINT PRIMARY KEY,
  gauge_id BIGINT NOT NULL REFERENCES gauge (id),
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL,
  block_text TEXT COLLATE "C" NOT NULL, block_unit TEXT COLLATE "C" NOT NULL, block_mm DOUBLE PRECISION NOT NULL,
  read_text TEXT COLLATE "C" NOT NULL, read_unit TEXT COLLATE "C" NOT NULL, read_mm DOUBLE PRECISION NOT NULL,
  limit_text TEXT COLLATE "C" NOT NULL, limit_unit TEXT COLLATE "C" NOT NULL, limit_mm DOUBLE PRECISION NOT NULL,
  verdict TEXT COLLATE "C" NOT NULL
);
CREATE INDEX check_of_gauge ON gauge_check (gauge_id, at);
