-- +goose Up
-- Factors that one person proposed, and what a second made of them.
CREATE TABLE factor_proposal (
  id INTEGER PRIMARY KEY,
  proposal TEXT NOT NULL UNIQUE,
  lot_id INTEGER NOT NULL REFERENCES lot (id),
  basis TEXT NOT NULL,
  evidence TEXT NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL,
  state TEXT NOT NULL,
  decided_at TEXT,
  decided_seq INTEGER,
  decided_by TEXT NOT NULL,
  decided_why TEXT NOT NULL
) STRICT;
CREATE INDEX factor_proposal_of_lot ON factor_proposal (lot_id);
CREATE TABLE factor_line (
  proposal_id INTEGER NOT NULL REFERENCES factor_proposal (id),
  axis TEXT NOT NULL,
  s_text TEXT NOT NULL, s_unit TEXT NOT NULL, s_pct REAL NOT NULL,
  k_text TEXT NOT NULL, k_unit TEXT NOT NULL, k_base REAL NOT NULL,
  low_text TEXT, low_unit TEXT, low_pct REAL,
  high_text TEXT, high_unit TEXT, high_pct REAL,
  n INTEGER NOT NULL,
  method TEXT NOT NULL,
  taken_from TEXT NOT NULL,
  PRIMARY KEY (proposal_id, axis)
) STRICT, WITHOUT ROWID;
