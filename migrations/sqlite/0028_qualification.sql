-- +goose Up
-- By how many coupons, and along which axes of the build, a lot is to be
-- qualified.
CREATE TABLE qualification_plan (
  id INTEGER PRIMARY KEY,
  lot_id INTEGER NOT NULL REFERENCES lot (id),
  coupons INTEGER NOT NULL,
  design_id INTEGER NOT NULL REFERENCES design (id),
  axes TEXT NOT NULL,
  note TEXT NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL
) STRICT;
CREATE INDEX qualification_of_lot ON qualification_plan (lot_id);
