-- +goose Up
-- How each operation is done, by revision.
CREATE TABLE instruction (
  id BIGINT PRIMARY KEY,
  instruction TEXT COLLATE "C" NOT NULL,
  revision TEXT COLLATE "C" NOT NULL,
  operation TEXT COLLATE "C" NOT NULL,
  title TEXT COLLATE "C" NOT NULL,
  body TEXT COLLATE "C" NOT NULL,
  from_at TIMESTAMPTZ NOT NULL,
  approved_by TEXT COLLATE "C" NOT NULL,
  UNIQUE (instruction, revision)
);
