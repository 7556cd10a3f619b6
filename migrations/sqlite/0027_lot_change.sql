-- +goose Up
-- Another lot that takes over within a print, signed by a second person.
CREATE TABLE lot_change (
  id INTEGER PRIMARY KEY,
  insert_id INTEGER NOT NULL REFERENCES mould_insert (id),
  from_layer INTEGER NOT NULL,
  from_lot_id INTEGER NOT NULL REFERENCES lot (id),
  to_lot_id INTEGER NOT NULL REFERENCES lot (id),
  why TEXT NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL
) STRICT;
CREATE INDEX lot_change_of_insert ON lot_change (insert_id);
