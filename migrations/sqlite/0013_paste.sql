-- +goose Up
-- What a lot is known by and what becomes of its paste: certificates, factors,
-- waste and weighings of containers, coupons; and what is known of a part
-- before it is fired: weighings and green sizes.
ALTER TABLE lot ADD COLUMN drying_low_text TEXT;
ALTER TABLE lot ADD COLUMN drying_low_unit TEXT;
ALTER TABLE lot ADD COLUMN drying_low_pct REAL;
ALTER TABLE lot ADD COLUMN drying_high_text TEXT;
ALTER TABLE lot ADD COLUMN drying_high_unit TEXT;
ALTER TABLE lot ADD COLUMN drying_high_pct REAL;
ALTER TABLE gauge ADD COLUMN uncertainty_text TEXT;
ALTER TABLE gauge ADD COLUMN uncertainty_unit TEXT;
ALTER TABLE gauge ADD COLUMN uncertainty_mm REAL;
ALTER TABLE drying ADD COLUMN constant_text TEXT;
ALTER TABLE drying ADD COLUMN constant_unit TEXT;
ALTER TABLE drying ADD COLUMN constant_pct REAL;
ALTER TABLE container ADD COLUMN scrapped_at TEXT;
CREATE TABLE certificate_line (
  lot_id INTEGER NOT NULL REFERENCES lot (id),
  seq INTEGER NOT NULL,
  place INTEGER NOT NULL,
  property TEXT NOT NULL,
  value_text TEXT NOT NULL,
  unit TEXT NOT NULL,
  lower_text TEXT NOT NULL,
  upper_text TEXT NOT NULL,
  PRIMARY KEY (lot_id, seq, place)
) STRICT, WITHOUT ROWID;
CREATE TABLE factor (
  id INTEGER PRIMARY KEY,
  lot_id INTEGER NOT NULL REFERENCES lot (id),
  axis TEXT NOT NULL,
  s_text TEXT NOT NULL, s_unit TEXT NOT NULL, s_pct REAL NOT NULL,
  k_text TEXT NOT NULL, k_unit TEXT NOT NULL, k_base REAL NOT NULL,
  basis TEXT NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL
) STRICT;
CREATE INDEX factor_of_lot ON factor (lot_id);
CREATE TABLE paste_waste (
  id INTEGER PRIMARY KEY,
  container_id INTEGER NOT NULL REFERENCES container (id),
  mass_text TEXT NOT NULL, mass_unit TEXT NOT NULL, mass_g REAL NOT NULL,
  why TEXT NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL
) STRICT;
CREATE INDEX paste_waste_of_container ON paste_waste (container_id);
CREATE TABLE container_weighing (
  id INTEGER PRIMARY KEY,
  container_id INTEGER NOT NULL REFERENCES container (id),
  left_text TEXT NOT NULL, left_unit TEXT NOT NULL, left_g REAL NOT NULL,
  note TEXT NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL
) STRICT;
CREATE INDEX container_weighing_of ON container_weighing (container_id, at);
CREATE TABLE weighing (
  id INTEGER PRIMARY KEY,
  insert_id INTEGER NOT NULL REFERENCES mould_insert (id),
  gauge_id INTEGER NOT NULL REFERENCES gauge (id),
  mass_text TEXT NOT NULL, mass_unit TEXT NOT NULL, mass_g REAL NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL
) STRICT;
CREATE INDEX weighing_of_insert ON weighing (insert_id);
CREATE TABLE green_size (
  id INTEGER PRIMARY KEY,
  insert_id INTEGER NOT NULL REFERENCES mould_insert (id),
  axis TEXT NOT NULL,
  size_text TEXT NOT NULL, size_unit TEXT NOT NULL, size_mm REAL NOT NULL,
  gauge_id INTEGER NOT NULL REFERENCES gauge (id),
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL,
  corrected_by INTEGER
) STRICT;
CREATE INDEX green_size_of_insert ON green_size (insert_id);
CREATE TABLE coupon (
  id INTEGER PRIMARY KEY,
  coupon TEXT NOT NULL UNIQUE,
  made_for TEXT NOT NULL,
  design_id INTEGER NOT NULL REFERENCES design (id),
  container_id INTEGER NOT NULL REFERENCES container (id),
  machine_id INTEGER NOT NULL REFERENCES machine (id),
  with_insert TEXT NOT NULL,
  release TEXT NOT NULL,
  layers INTEGER NOT NULL,
  drawn_text TEXT NOT NULL, drawn_unit TEXT NOT NULL, drawn_g REAL NOT NULL,
  purged_text TEXT, purged_unit TEXT, purged_g REAL,
  made_at TEXT NOT NULL,
  made_by TEXT NOT NULL,
  load_id INTEGER REFERENCES furnace_load (id),
  position TEXT NOT NULL,
  setter TEXT NOT NULL,
  lying TEXT NOT NULL,
  loss_text TEXT, loss_unit TEXT, loss_pct REAL,
  placed_at TEXT,
  placed_by TEXT NOT NULL,
  scanned_out INTEGER NOT NULL,
  code TEXT NOT NULL
) STRICT;
CREATE INDEX coupon_of_container ON coupon (container_id);
CREATE INDEX coupon_of_load ON coupon (load_id);
CREATE TABLE coupon_result (
  id INTEGER PRIMARY KEY,
  coupon_id INTEGER NOT NULL REFERENCES coupon (id),
  stage TEXT NOT NULL,
  characteristic TEXT NOT NULL,
  value_text TEXT NOT NULL, value_unit TEXT NOT NULL, value_base REAL NOT NULL,
  gauge_id INTEGER NOT NULL REFERENCES gauge (id),
  temp_text TEXT, temp_unit TEXT, temp_c REAL,
  verdict TEXT NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL
) STRICT;
CREATE INDEX coupon_result_of ON coupon_result (coupon_id);
