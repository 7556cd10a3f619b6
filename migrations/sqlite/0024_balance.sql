-- +goose Up
-- The account of the paste: what goes back to its maker, what was found about a
-- mass that is missing, the limits of the shop by date, and what an insert is
-- expected to weigh.
CREATE TABLE shop_limit (
  seq INTEGER PRIMARY KEY,
  name TEXT NOT NULL,
  value_text TEXT NOT NULL, value_unit TEXT NOT NULL, value_base REAL NOT NULL,
  from_at TEXT NOT NULL,
  basis TEXT NOT NULL,
  by_badge TEXT NOT NULL
) STRICT;
CREATE TABLE paste_return (
  id INTEGER PRIMARY KEY,
  container_id INTEGER NOT NULL REFERENCES container (id),
  mass_text TEXT NOT NULL, mass_unit TEXT NOT NULL, mass_g REAL NOT NULL,
  note TEXT NOT NULL,
  why TEXT NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL
) STRICT;
CREATE INDEX paste_return_of_container ON paste_return (container_id);
CREATE TABLE paste_difference (
  id INTEGER PRIMARY KEY,
  container_id INTEGER NOT NULL REFERENCES container (id),
  difference_text TEXT NOT NULL, difference_unit TEXT NOT NULL, difference_g REAL NOT NULL,
  why TEXT NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL
) STRICT;
CREATE INDEX paste_difference_of_container ON paste_difference (container_id);
ALTER TABLE container ADD COLUMN returned_at TEXT;
ALTER TABLE design ADD COLUMN volume_text TEXT;
ALTER TABLE design ADD COLUMN volume_unit TEXT;
ALTER TABLE design ADD COLUMN volume_mm3 REAL;
ALTER TABLE lot ADD COLUMN wet_density_text TEXT;
ALTER TABLE lot ADD COLUMN wet_density_unit TEXT;
ALTER TABLE lot ADD COLUMN wet_density REAL;
