-- +goose Up
-- Photos and papers on things: what the log says of each, and the bytes of all,
-- each once, by their SHA-256.
CREATE TABLE document (
  id INTEGER PRIMARY KEY,
  document TEXT NOT NULL,
  media_type TEXT NOT NULL,
  size INTEGER NOT NULL,
  name TEXT NOT NULL,
  on_kind TEXT NOT NULL,
  on_code TEXT NOT NULL,
  shows TEXT NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL,
  UNIQUE (document, on_kind, on_code, name)
) STRICT;
CREATE INDEX document_on ON document (on_kind, on_code);
CREATE TABLE document_bytes (
  document TEXT PRIMARY KEY,
  bytes BLOB NOT NULL
) STRICT;

-- Stock that was welded or built up on a face.
ALTER TABLE fit_face ADD COLUMN added_text TEXT;
ALTER TABLE fit_face ADD COLUMN added_unit TEXT;
ALTER TABLE fit_face ADD COLUMN added_mm REAL;
