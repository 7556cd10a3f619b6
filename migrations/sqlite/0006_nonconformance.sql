-- +goose Up
-- What does not conform: one number, its pieces with what was decided about
-- each, and the concessions that were given for them.
CREATE TABLE nonconformance (
  id INTEGER PRIMARY KEY,
  nonconformance TEXT NOT NULL UNIQUE
) STRICT;
CREATE TABLE nonconformance_item (
  id INTEGER PRIMARY KEY,
  nonconformance_id INTEGER NOT NULL REFERENCES nonconformance (id),
  insert_id INTEGER NOT NULL REFERENCES mould_insert (id),
  what TEXT NOT NULL,
  raised_at TEXT NOT NULL,
  raised_by TEXT NOT NULL,
  state TEXT NOT NULL,
  disposition TEXT NOT NULL,
  back TEXT NOT NULL,
  decided_seq INTEGER,
  decided_at TEXT,
  decided_by TEXT NOT NULL,
  note TEXT NOT NULL,
  UNIQUE (nonconformance_id, insert_id)
) STRICT;
CREATE INDEX nonconformance_of_insert ON nonconformance_item (insert_id);
CREATE INDEX nonconformance_open ON nonconformance_item (state) WHERE state = 'open';
CREATE TABLE concession (
  id INTEGER PRIMARY KEY,
  concession TEXT NOT NULL UNIQUE,
  nonconformance_id INTEGER NOT NULL REFERENCES nonconformance (id),
  what TEXT NOT NULL,
  mould TEXT NOT NULL,
  customer TEXT NOT NULL,
  customer_reference TEXT NOT NULL,
  quantity INTEGER NOT NULL,
  expires_day TEXT NOT NULL,
  given_at TEXT NOT NULL,
  given_by TEXT NOT NULL,
  withdrawn_at TEXT,
  withdrawn_by TEXT NOT NULL,
  withdrawn_why TEXT NOT NULL
) STRICT;
CREATE TABLE concession_insert (
  concession_id INTEGER NOT NULL REFERENCES concession (id),
  insert_id INTEGER NOT NULL REFERENCES mould_insert (id),
  PRIMARY KEY (concession_id, insert_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX concession_of_insert ON concession_insert (insert_id);
CREATE TABLE concession_limit (
  concession_id INTEGER NOT NULL REFERENCES concession (id),
  place INTEGER NOT NULL,
  of_characteristic TEXT NOT NULL,
  lower_text TEXT, lower_unit TEXT, lower_base REAL,
  upper_text TEXT, upper_unit TEXT, upper_base REAL,
  PRIMARY KEY (concession_id, place)
) STRICT, WITHOUT ROWID;
