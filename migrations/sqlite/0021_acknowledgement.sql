-- +goose Up
-- Who has read which revision of which instruction, each once.
CREATE TABLE acknowledgement (
  id INTEGER PRIMARY KEY,
  instruction_id INTEGER NOT NULL REFERENCES instruction (id),
  badge TEXT NOT NULL,
  station TEXT NOT NULL,
  at TEXT NOT NULL,
  UNIQUE (instruction_id, badge)
) STRICT;
CREATE INDEX acknowledgement_badge ON acknowledgement (badge);
