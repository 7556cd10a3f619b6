-- +goose Up
-- How each operation is done, by revision.
CREATE TABLE instruction (
  id INTEGER PRIMARY KEY,
  instruction TEXT NOT NULL,
  revision TEXT NOT NULL,
  operation TEXT NOT NULL,
  title TEXT NOT NULL,
  body TEXT NOT NULL,
  from_at TEXT NOT NULL,
  approved_by TEXT NOT NULL,
  UNIQUE (instruction, revision)
) STRICT;
