-- +goose Up
-- What was typed in from numbered paper forms, the stops that nobody heard
-- then, and the times in which the service was not there.
CREATE TABLE paper_form (
  id INTEGER PRIMARY KEY,
  form TEXT NOT NULL UNIQUE,
  checked_at TEXT,
  checked_by TEXT NOT NULL
) STRICT;
CREATE TABLE paper_entry (
  id INTEGER PRIMARY KEY,
  form_id INTEGER NOT NULL REFERENCES paper_form (id),
  kind TEXT NOT NULL,
  subject TEXT NOT NULL,
  at TEXT NOT NULL,
  entered_at TEXT NOT NULL,
  by_badge TEXT NOT NULL,
  typed_by TEXT NOT NULL
) STRICT;
CREATE INDEX paper_entry_of_form ON paper_entry (form_id);
CREATE TABLE missed_stop (
  entry_id INTEGER NOT NULL REFERENCES paper_entry (id),
  place INTEGER NOT NULL,
  gate TEXT NOT NULL,
  why TEXT NOT NULL,
  lift TEXT NOT NULL,
  mode TEXT NOT NULL,
  PRIMARY KEY (entry_id, place)
) STRICT, WITHOUT ROWID;
CREATE TABLE outage (
  id INTEGER PRIMARY KEY,
  from_at TEXT NOT NULL,
  until_at TEXT NOT NULL,
  note TEXT NOT NULL,
  noted_by TEXT NOT NULL
) STRICT;
