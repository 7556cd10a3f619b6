-- +goose Up
-- Numbered blank forms that were handed out for an outage, and those that were
-- seen still blank when forms were counted.
CREATE TABLE blank_form (
  entry_id INTEGER NOT NULL,
  place INTEGER NOT NULL,
  form TEXT NOT NULL UNIQUE,
  operation TEXT NOT NULL,
  issued_at TEXT NOT NULL,
  issued_by TEXT NOT NULL,
  seen_at TEXT,
  seen_by TEXT NOT NULL,
  PRIMARY KEY (entry_id, place)
) STRICT, WITHOUT ROWID;
