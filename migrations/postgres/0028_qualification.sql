-- +goose Up
-- By how many coupons, and along which axes of the build, a lot is to be
-- qualified.
CREATE TABLE qualification_plan (
  id BIGINT PRIMARY KEY,
  lot_id BIGINT NOT NULL REFERENCES lot (id),
  coupons INTEGER NOT NULL,
  design_id BIGINT NOT NULL REFERENCES design (id),
  axes TEXT COLLATE "C" NOT NULL,
  note TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL
);
CREATE INDEX qualification_of_lot ON qualification_plan (lot_id);
