-- +goose Up
-- The account of the paste: what goes back to its maker, what was found about a
-- mass that is missing, the limits of the shop by date, and what an insert is
-- expected to weigh.
CREATE TABLE shop_limit (
  seq BIGINT PRIMARY KEY,
  name TEXT COLLATE "C" NOT NULL,
  value_text TEXT COLLATE "C" NOT NULL, value_unit TEXT COLLATE "C" NOT NULL, value_base DOUBLE PRECISION NOT NULL,
  from_at TIMESTAMPTZ NOT NULL,
  basis TEXT COLLATE "C" NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL
);
CREATE TABLE paste_return (
  id BIGINT PRIMARY KEY,
  container_id BIGINT NOT NULL REFERENCES container (id),
  mass_text TEXT COLLATE "C" NOT NULL, mass_unit TEXT COLLATE "C" NOT NULL, mass_g DOUBLE PRECISION NOT NULL,
  note TEXT COLLATE "C" NOT NULL,
  why TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL
);
CREATE INDEX paste_return_of_container ON paste_return (container_id);
CREATE TABLE paste_difference (
  id BIGINT PRIMARY KEY,
  container_id BIGINT NOT NULL REFERENCES container (id),
  difference_text TEXT COLLATE "C" NOT NULL, difference_unit TEXT COLLATE "C" NOT NULL, difference_g DOUBLE PRECISION NOT NULL,
  why TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL
);
CREATE INDEX paste_difference_of_container ON paste_difference (container_id);
ALTER TABLE container ADD COLUMN returned_at TIMESTAMPTZ;
ALTER TABLE design ADD COLUMN volume_text TEXT COLLATE "C";
ALTER TABLE design ADD COLUMN volume_unit TEXT COLLATE "C";
ALTER TABLE design ADD COLUMN volume_mm3 DOUBLE PRECISION;
ALTER TABLE lot ADD COLUMN wet_density_text TEXT COLLATE "C";
ALTER TABLE lot ADD COLUMN wet_density_unit TEXT COLLATE "C";
ALTER TABLE lot ADD COLUMN wet_density DOUBLE PRECISION;
