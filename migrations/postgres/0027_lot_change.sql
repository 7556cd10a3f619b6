-- +goose Up
-- Another lot that takes over within a print, signed by a second person.
CREATE TABLE lot_change (
  id BIGINT PRIMARY KEY,
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  from_layer INTEGER NOT NULL,
  from_lot_id BIGINT NOT NULL REFERENCES lot (id),
  to_lot_id BIGINT NOT NULL REFERENCES lot (id),
  why TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL
);
CREATE INDEX lot_change_of_insert ON lot_change (insert_id);
