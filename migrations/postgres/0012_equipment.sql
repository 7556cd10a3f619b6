-- +goose Up
-- What the shop works with and how it is kept fit: sensors and their tests,
-- surveys, safety tests, recipes, setters, ovens, carriers, cutters,
-- controller versions, checks of machines, and work done on any of them.
ALTER TABLE furnace ADD COLUMN sat_text TEXT COLLATE "C";
ALTER TABLE furnace ADD COLUMN sat_unit TEXT COLLATE "C";
ALTER TABLE furnace ADD COLUMN sat_k DOUBLE PRECISION;
ALTER TABLE furnace ADD COLUMN tus_text TEXT COLLATE "C";
ALTER TABLE furnace ADD COLUMN tus_unit TEXT COLLATE "C";
ALTER TABLE furnace ADD COLUMN tus_k DOUBLE PRECISION;
ALTER TABLE furnace ADD COLUMN sat_days BIGINT NOT NULL DEFAULT 0;
ALTER TABLE furnace ADD COLUMN tus_days BIGINT NOT NULL DEFAULT 0;
ALTER TABLE furnace_load ADD COLUMN clock_text TEXT COLLATE "C";
ALTER TABLE furnace_load ADD COLUMN clock_unit TEXT COLLATE "C";
ALTER TABLE furnace_load ADD COLUMN clock_s DOUBLE PRECISION;
ALTER TABLE load_item ADD COLUMN lying TEXT COLLATE "C" NOT NULL DEFAULT '';
ALTER TABLE print ADD COLUMN room_text TEXT COLLATE "C";
ALTER TABLE print ADD COLUMN room_unit TEXT COLLATE "C";
ALTER TABLE print ADD COLUMN room_c DOUBLE PRECISION;
ALTER TABLE print ADD COLUMN humidity_text TEXT COLLATE "C";
ALTER TABLE print ADD COLUMN humidity_unit TEXT COLLATE "C";
ALTER TABLE print ADD COLUMN humidity_pct DOUBLE PRECISION;
ALTER TABLE print ADD COLUMN controller TEXT COLLATE "C" NOT NULL DEFAULT '';
ALTER TABLE layers_made ADD COLUMN cut_text TEXT COLLATE "C";
ALTER TABLE layers_made ADD COLUMN cut_unit TEXT COLLATE "C";
ALTER TABLE layers_made ADD COLUMN cut_s DOUBLE PRECISION;
CREATE TABLE furnace_test_needed (
  furnace_id BIGINT NOT NULL REFERENCES furnace (id),
  place BIGINT NOT NULL,
  test TEXT COLLATE "C" NOT NULL,
  PRIMARY KEY (furnace_id, place)
);
CREATE TABLE furnace_test (
  id BIGINT PRIMARY KEY,
  furnace_id BIGINT NOT NULL REFERENCES furnace (id),
  load_id BIGINT NOT NULL REFERENCES furnace_load (id),
  test TEXT COLLATE "C" NOT NULL,
  verdict TEXT COLLATE "C" NOT NULL,
  note TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL
);
CREATE INDEX furnace_test_of_load ON furnace_test (load_id);
CREATE TABLE sensor (
  id BIGINT PRIMARY KEY,
  sensor TEXT COLLATE "C" NOT NULL UNIQUE,
  furnace_id BIGINT NOT NULL REFERENCES furnace (id),
  zone TEXT COLLATE "C" NOT NULL,
  type TEXT COLLATE "C" NOT NULL,
  certificate TEXT COLLATE "C" NOT NULL,
  fitted_at TIMESTAMPTZ NOT NULL,
  removed_at TIMESTAMPTZ,
  code TEXT COLLATE "C" NOT NULL
);
CREATE INDEX sensor_of_furnace ON sensor (furnace_id);
CREATE TABLE sensor_test (
  id BIGINT PRIMARY KEY,
  sensor_id BIGINT NOT NULL REFERENCES sensor (id),
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL,
  set_text TEXT COLLATE "C" NOT NULL, set_unit TEXT COLLATE "C" NOT NULL, set_c DOUBLE PRECISION NOT NULL,
  read_text TEXT COLLATE "C" NOT NULL, read_unit TEXT COLLATE "C" NOT NULL, read_c DOUBLE PRECISION NOT NULL,
  reference_text TEXT COLLATE "C" NOT NULL, reference_unit TEXT COLLATE "C" NOT NULL, reference_c DOUBLE PRECISION NOT NULL,
  limit_text TEXT COLLATE "C" NOT NULL, limit_unit TEXT COLLATE "C" NOT NULL, limit_k DOUBLE PRECISION NOT NULL,
  verdict TEXT COLLATE "C" NOT NULL,
  due_day TEXT COLLATE "C" NOT NULL
);
CREATE INDEX sensor_test_of_sensor ON sensor_test (sensor_id, at);
CREATE TABLE survey (
  id BIGINT PRIMARY KEY,
  furnace_id BIGINT NOT NULL REFERENCES furnace (id),
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL,
  set_text TEXT COLLATE "C" NOT NULL, set_unit TEXT COLLATE "C" NOT NULL, set_c DOUBLE PRECISION NOT NULL,
  limit_text TEXT COLLATE "C" NOT NULL, limit_unit TEXT COLLATE "C" NOT NULL, limit_k DOUBLE PRECISION NOT NULL,
  verdict TEXT COLLATE "C" NOT NULL,
  due_day TEXT COLLATE "C" NOT NULL
);
CREATE INDEX survey_of_furnace ON survey (furnace_id, at);
CREATE TABLE survey_zone (
  survey_id BIGINT NOT NULL REFERENCES survey (id),
  place BIGINT NOT NULL,
  zone TEXT COLLATE "C" NOT NULL,
  off_text TEXT COLLATE "C" NOT NULL, off_unit TEXT COLLATE "C" NOT NULL, off_k DOUBLE PRECISION NOT NULL,
  PRIMARY KEY (survey_id, place)
);
CREATE TABLE recipe (
  id BIGINT PRIMARY KEY,
  recipe TEXT COLLATE "C" NOT NULL UNIQUE,
  number TEXT COLLATE "C" NOT NULL,
  revision TEXT COLLATE "C" NOT NULL,
  used_for TEXT COLLATE "C" NOT NULL,
  soak_text TEXT COLLATE "C" NOT NULL, soak_unit TEXT COLLATE "C" NOT NULL, soak_c DOUBLE PRECISION NOT NULL,
  band_text TEXT COLLATE "C" NOT NULL, band_unit TEXT COLLATE "C" NOT NULL, band_k DOUBLE PRECISION NOT NULL,
  time_text TEXT COLLATE "C" NOT NULL, time_unit TEXT COLLATE "C" NOT NULL, time_s DOUBLE PRECISION NOT NULL,
  tolerance_text TEXT COLLATE "C" NOT NULL, tolerance_unit TEXT COLLATE "C" NOT NULL, tolerance_s DOUBLE PRECISION NOT NULL,
  dew_text TEXT COLLATE "C", dew_unit TEXT COLLATE "C", dew_c DOUBLE PRECISION,
  steps TEXT COLLATE "C" NOT NULL,
  released_at TIMESTAMPTZ NOT NULL,
  released_by TEXT COLLATE "C" NOT NULL,
  superseded_by TEXT COLLATE "C" NOT NULL,
  superseded_at TIMESTAMPTZ
);
CREATE TABLE setter (
  id BIGINT PRIMARY KEY,
  setter TEXT COLLATE "C" NOT NULL UNIQUE,
  cycles BIGINT NOT NULL,
  life BIGINT NOT NULL,
  code TEXT COLLATE "C" NOT NULL
);
CREATE INDEX load_item_setter ON load_item (setter);
CREATE TABLE oven (
  id BIGINT PRIMARY KEY,
  oven TEXT COLLATE "C" NOT NULL UNIQUE,
  shelves BIGINT NOT NULL,
  limit_text TEXT COLLATE "C" NOT NULL, limit_unit TEXT COLLATE "C" NOT NULL, limit_c DOUBLE PRECISION NOT NULL,
  code TEXT COLLATE "C" NOT NULL
);
CREATE TABLE carrier (
  id BIGINT PRIMARY KEY,
  carrier TEXT COLLATE "C" NOT NULL UNIQUE,
  type TEXT COLLATE "C" NOT NULL,
  code TEXT COLLATE "C" NOT NULL
);
CREATE INDEX insert_on_carrier ON mould_insert (carrier) WHERE carrier <> '';
CREATE TABLE cutter (
  id BIGINT PRIMARY KEY,
  cutter TEXT COLLATE "C" NOT NULL UNIQUE,
  machine_id BIGINT NOT NULL REFERENCES machine (id),
  diameter_text TEXT COLLATE "C" NOT NULL, diameter_unit TEXT COLLATE "C" NOT NULL, diameter_mm DOUBLE PRECISION NOT NULL,
  life_text TEXT COLLATE "C" NOT NULL, life_unit TEXT COLLATE "C" NOT NULL, life_s DOUBLE PRECISION NOT NULL,
  offset_text TEXT COLLATE "C", offset_unit TEXT COLLATE "C", offset_mm DOUBLE PRECISION,
  fitted_at TIMESTAMPTZ NOT NULL,
  removed_at TIMESTAMPTZ,
  code TEXT COLLATE "C" NOT NULL
);
CREATE INDEX cutter_in_machine ON cutter (machine_id);
CREATE INDEX layers_made_cutter ON layers_made (cutter) WHERE cutter <> '';
CREATE TABLE controller (
  id BIGINT PRIMARY KEY,
  machine_id BIGINT NOT NULL REFERENCES machine (id),
  version TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL
);
CREATE INDEX controller_of_machine ON controller (machine_id, at);
CREATE TABLE machine_check (
  id BIGINT PRIMARY KEY,
  machine_id BIGINT NOT NULL REFERENCES machine (id),
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL,
  report TEXT COLLATE "C" NOT NULL,
  verdict TEXT COLLATE "C" NOT NULL,
  due_day TEXT COLLATE "C" NOT NULL
);
CREATE INDEX machine_check_of_machine ON machine_check (machine_id, at);
CREATE TABLE service (
  id BIGINT PRIMARY KEY,
  on_kind TEXT COLLATE "C" NOT NULL,
  on_code TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL,
  what TEXT COLLATE "C" NOT NULL
);
CREATE INDEX service_of ON service (on_kind, on_code);
