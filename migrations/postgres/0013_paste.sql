-- +goose Up
-- What a lot is known by and what becomes of its paste: certificates, factors,
-- waste and weighings of containers, coupons; and what is known of a part
-- before it is fired: weighings and green sizes.
ALTER TABLE lot ADD COLUMN drying_low_text TEXT COLLATE "C";
ALTER TABLE lot ADD COLUMN drying_low_unit TEXT COLLATE "C";
ALTER TABLE lot ADD COLUMN drying_low_pct DOUBLE PRECISION;
ALTER TABLE lot ADD COLUMN drying_high_text TEXT COLLATE "C";
ALTER TABLE lot ADD COLUMN drying_high_unit TEXT COLLATE "C";
ALTER TABLE lot ADD COLUMN drying_high_pct DOUBLE PRECISION;
ALTER TABLE gauge ADD COLUMN uncertainty_text TEXT COLLATE "C";
ALTER TABLE gauge ADD COLUMN uncertainty_unit TEXT COLLATE "C";
ALTER TABLE gauge ADD COLUMN uncertainty_mm DOUBLE PRECISION;
ALTER TABLE drying ADD COLUMN constant_text TEXT COLLATE "C";
ALTER TABLE drying ADD COLUMN constant_unit TEXT COLLATE "C";
ALTER TABLE drying ADD COLUMN constant_pct DOUBLE PRECISION;
ALTER TABLE container ADD COLUMN scrapped_at TIMESTAMPTZ;
CREATE TABLE certificate_line (
  lot_id BIGINT NOT NULL REFERENCES lot (id),
  seq BIGINT NOT NULL,
  place BIGINT NOT NULL,
  property TEXT COLLATE "C" NOT NULL,
  value_text TEXT COLLATE "C" NOT NULL,
  unit TEXT COLLATE "C" NOT NULL,
  lower_text TEXT COLLATE "C" NOT NULL,
  upper_text TEXT COLLATE "C" NOT NULL,
  PRIMARY KEY (lot_id, seq, place)
);
CREATE TABLE factor (
  id BIGINT PRIMARY KEY,
  lot_id BIGINT NOT NULL REFERENCES lot (id),
  axis TEXT COLLATE "C" NOT NULL,
  s_text TEXT COLLATE "C" NOT NULL, s_unit TEXT COLLATE "C" NOT NULL, s_pct DOUBLE PRECISION NOT NULL,
  k_text TEXT COLLATE "C" NOT NULL, k_unit TEXT COLLATE "C" NOT NULL, k_base DOUBLE PRECISION NOT NULL,
  basis TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL
);
CREATE INDEX factor_of_lot ON factor (lot_id);
CREATE TABLE paste_waste (
  id BIGINT PRIMARY KEY,
  container_id BIGINT NOT NULL REFERENCES container (id),
  mass_text TEXT COLLATE "C" NOT NULL, mass_unit TEXT COLLATE "C" NOT NULL, mass_g DOUBLE PRECISION NOT NULL,
  why TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL
);
CREATE INDEX paste_waste_of_container ON paste_waste (container_id);
CREATE TABLE container_weighing (
  id BIGINT PRIMARY KEY,
  container_id BIGINT NOT NULL REFERENCES container (id),
  left_text TEXT COLLATE "C" NOT NULL, left_unit TEXT COLLATE "C" NOT NULL, left_g DOUBLE PRECISION NOT NULL,
  note TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL
);
CREATE INDEX container_weighing_of ON container_weighing (container_id, at);
CREATE TABLE weighing (
  id BIGINT PRIMARY KEY,
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  gauge_id BIGINT NOT NULL REFERENCES gauge (id),
  mass_text TEXT COLLATE "C" NOT NULL, mass_unit TEXT COLLATE "C" NOT NULL, mass_g DOUBLE PRECISION NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL
);
CREATE INDEX weighing_of_insert ON weighing (insert_id);
CREATE TABLE green_size (
  id BIGINT PRIMARY KEY,
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  axis TEXT COLLATE "C" NOT NULL,
  size_text TEXT COLLATE "C" NOT NULL, size_unit TEXT COLLATE "C" NOT NULL, size_mm DOUBLE PRECISION NOT NULL,
  gauge_id BIGINT NOT NULL REFERENCES gauge (id),
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL,
  corrected_by BIGINT
);
CREATE INDEX green_size_of_insert ON green_size (insert_id);
CREATE TABLE coupon (
  id BIGINT PRIMARY KEY,
  coupon TEXT COLLATE "C" NOT NULL UNIQUE,
  made_for TEXT COLLATE "C" NOT NULL,
  design_id BIGINT NOT NULL REFERENCES design (id),
  container_id BIGINT NOT NULL REFERENCES container (id),
  machine_id BIGINT NOT NULL REFERENCES machine (id),
  with_insert TEXT COLLATE "C" NOT NULL,
  release TEXT COLLATE "C" NOT NULL,
  layers BIGINT NOT NULL,
  drawn_text TEXT COLLATE "C" NOT NULL, drawn_unit TEXT COLLATE "C" NOT NULL, drawn_g DOUBLE PRECISION NOT NULL,
  purged_text TEXT COLLATE "C", purged_unit TEXT COLLATE "C", purged_g DOUBLE PRECISION,
  made_at TIMESTAMPTZ NOT NULL,
  made_by TEXT COLLATE "C" NOT NULL,
  load_id BIGINT REFERENCES furnace_load (id),
  position TEXT COLLATE "C" NOT NULL,
  setter TEXT COLLATE "C" NOT NULL,
  lying TEXT COLLATE "C" NOT NULL,
  loss_text TEXT COLLATE "C", loss_unit TEXT COLLATE "C", loss_pct DOUBLE PRECISION,
  placed_at TIMESTAMPTZ,
  placed_by TEXT COLLATE "C" NOT NULL,
  scanned_out BIGINT NOT NULL,
  code TEXT COLLATE "C" NOT NULL
);
CREATE INDEX coupon_of_container ON coupon (container_id);
CREATE INDEX coupon_of_load ON coupon (load_id);
CREATE TABLE coupon_result (
  id BIGINT PRIMARY KEY,
  coupon_id BIGINT NOT NULL REFERENCES coupon (id),
  stage TEXT COLLATE "C" NOT NULL,
  characteristic TEXT COLLATE "C" NOT NULL,
  value_text TEXT COLLATE "C" NOT NULL, value_unit TEXT COLLATE "C" NOT NULL, value_base DOUBLE PRECISION NOT NULL,
  gauge_id BIGINT NOT NULL REFERENCES gauge (id),
  temp_text TEXT COLLATE "C", temp_unit TEXT COLLATE "C", temp_c DOUBLE PRECISION,
  verdict TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL
);
CREATE INDEX coupon_result_of ON coupon_result (coupon_id);
