-- +goose Up
-- Who has read which revision of which instruction, each once.
CREATE TABLE acknowledgement (
  id BIGINT PRIMARY KEY,
  instruction_id BIGINT NOT NULL REFERENCES instruction (id),
  badge TEXT COLLATE "C" NOT NULL,
  station TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  UNIQUE (instruction_id, badge)
);
CREATE INDEX acknowledgement_badge ON acknowledgement (badge);
