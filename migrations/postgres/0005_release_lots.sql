-- +goose Up
-- The layers at which another lot takes over in a release.
CREATE TABLE release_lot (
  release_id BIGINT NOT NULL REFERENCES design_release (id),
  from_layer BIGINT NOT NULL,
  lot_id BIGINT NOT NULL REFERENCES lot (id),
  PRIMARY KEY (release_id, from_layer)
);
CREATE INDEX release_of_further_lot ON release_lot (lot_id);
