-- +goose Up
-- Deviation permits: which insert may pass which gate at which operation.
CREATE TABLE permit (
  id INTEGER PRIMARY KEY,
  permit TEXT NOT NULL UNIQUE,
  insert_id INTEGER NOT NULL REFERENCES mould_insert (id),
  gate TEXT NOT NULL,
  operation TEXT NOT NULL,
  why TEXT NOT NULL,
  expires_day TEXT NOT NULL,
  given_at TEXT NOT NULL,
  given_by TEXT NOT NULL
) STRICT;
CREATE INDEX permit_of_insert ON permit (insert_id);
-- The mark that a sintered part bears.
ALTER TABLE mould_insert ADD COLUMN marked TEXT NOT NULL DEFAULT '';
ALTER TABLE mould_insert ADD COLUMN marked_at TEXT;
ALTER TABLE mould_insert ADD COLUMN marked_by TEXT NOT NULL DEFAULT '';
