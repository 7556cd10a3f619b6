-- +goose Up
-- Containment: the inserts that a suspect thing touched, held in one act; those
-- that are out of reach; and the notices to whom they were delivered.
ALTER TABLE hold ADD COLUMN containment TEXT NOT NULL DEFAULT '';
CREATE INDEX hold_of_containment ON hold (containment) WHERE containment <> '';
CREATE TABLE containment (
  id INTEGER PRIMARY KEY,
  containment TEXT NOT NULL UNIQUE,
  of_kind TEXT NOT NULL,
  of_code TEXT NOT NULL,
  narrowed TEXT NOT NULL,
  why TEXT NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL
) STRICT;
CREATE TABLE containment_outside (
  containment_id INTEGER NOT NULL REFERENCES containment (id),
  insert_id INTEGER NOT NULL REFERENCES mould_insert (id),
  why TEXT NOT NULL,
  customer TEXT NOT NULL,
  mould TEXT NOT NULL,
  note TEXT NOT NULL,
  since_at TEXT NOT NULL,
  PRIMARY KEY (containment_id, insert_id)
) STRICT, WITHOUT ROWID;
CREATE TABLE recall_notice (
  containment_id INTEGER NOT NULL REFERENCES containment (id),
  customer TEXT NOT NULL,
  says TEXT NOT NULL,
  how TEXT NOT NULL,
  sent_at TEXT,
  sent_by TEXT NOT NULL,
  answer TEXT NOT NULL,
  answered_at TEXT,
  answered_by TEXT NOT NULL,
  PRIMARY KEY (containment_id, customer)
) STRICT, WITHOUT ROWID;
CREATE TABLE trace_drill (
  id INTEGER PRIMARY KEY,
  insert_id INTEGER NOT NULL REFERENCES mould_insert (id),
  upstream INTEGER NOT NULL,
  downstream INTEGER NOT NULL,
  missing TEXT NOT NULL,
  took_us INTEGER NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL
) STRICT;
