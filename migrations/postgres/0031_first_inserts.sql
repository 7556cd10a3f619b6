-- +goose Up
-- A lot is qualified by coupons of several designs and by first inserts, which a
-- release names while the lot is on test.
ALTER TABLE qualification_plan ADD COLUMN first_inserts INTEGER NOT NULL DEFAULT 0;
CREATE TABLE qualification_coupon (
  plan_id BIGINT NOT NULL REFERENCES qualification_plan (id),
  place INTEGER NOT NULL,
  coupons INTEGER NOT NULL,
  design_id BIGINT NOT NULL REFERENCES design (id),
  PRIMARY KEY (plan_id, place)
);
CREATE TABLE release_first (
  release_id BIGINT NOT NULL REFERENCES design_release (id),
  place INTEGER NOT NULL,
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  PRIMARY KEY (release_id, place)
);
CREATE INDEX release_first_of_insert ON release_first (insert_id);
