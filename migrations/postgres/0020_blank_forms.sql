-- +goose Up
-- Numbered blank forms that were handed out for an outage, and those that were
-- seen still blank when forms were counted.
CREATE TABLE blank_form (
  entry_id BIGINT NOT NULL,
  place BIGINT NOT NULL,
  form TEXT COLLATE "C" NOT NULL UNIQUE,
  operation TEXT COLLATE "C" NOT NULL,
  issued_at TIMESTAMPTZ NOT NULL,
  issued_by TEXT COLLATE "C" NOT NULL,
  seen_at TIMESTAMPTZ,
  seen_by TEXT COLLATE "C" NOT NULL,
  PRIMARY KEY (entry_id, place)
);
