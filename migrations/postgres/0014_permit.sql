-- +goose Up
-- Deviation permits: which insert may pass which gate at which operation.
CREATE TABLE permit (
  id BIGINT PRIMARY KEY,
  permit TEXT COLLATE "C" NOT NULL UNIQUE,
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  gate TEXT COLLATE "C" NOT NULL,
  operation TEXT COLLATE "C" NOT NULL,
  why TEXT COLLATE "C" NOT NULL,
  expires_day TEXT COLLATE "C" NOT NULL,
  given_at TIMESTAMPTZ NOT NULL,
  given_by TEXT COLLATE "C" NOT NULL
);
CREATE INDEX permit_of_insert ON permit (insert_id);
-- The mark that a sintered part bears.
ALTER TABLE mould_insert ADD COLUMN marked TEXT COLLATE "C" NOT NULL DEFAULT '';
ALTER TABLE mould_insert ADD COLUMN marked_at TIMESTAMPTZ;
ALTER TABLE mould_insert ADD COLUMN marked_by TEXT COLLATE "C" NOT NULL DEFAULT '';
