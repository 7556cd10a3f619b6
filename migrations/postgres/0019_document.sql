-- +goose Up
-- Photos and papers on things: what the log says of each, and the bytes of all,
-- each once, by their SHA-256.
CREATE TABLE document (
  id BIGINT PRIMARY KEY,
  document TEXT COLLATE "C" NOT NULL,
  media_type TEXT COLLATE "C" NOT NULL,
  size BIGINT NOT NULL,
  name TEXT COLLATE "C" NOT NULL,
  on_kind TEXT COLLATE "C" NOT NULL,
  on_code TEXT COLLATE "C" NOT NULL,
  shows TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL,
  UNIQUE (document, on_kind, on_code, name)
);
CREATE INDEX document_on ON document (on_kind, on_code);
CREATE TABLE document_bytes (
  document TEXT COLLATE "C" PRIMARY KEY,
  bytes BYTEA NOT NULL
);

-- Stock that was welded or built up on a face.
ALTER TABLE fit_face ADD COLUMN added_text TEXT COLLATE "C";
ALTER TABLE fit_face ADD COLUMN added_unit TEXT COLLATE "C";
ALTER TABLE fit_face ADD COLUMN added_mm DOUBLE PRECISION;
