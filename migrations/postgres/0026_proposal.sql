-- +goose Up
-- Factors that one person proposed, and what a second made of them.
CREATE TABLE factor_proposal (
  id BIGINT PRIMARY KEY,
  proposal TEXT COLLATE "C" NOT NULL UNIQUE,
  lot_id BIGINT NOT NULL REFERENCES lot (id),
  basis TEXT COLLATE "C" NOT NULL,
  evidence TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL,
  state TEXT COLLATE "C" NOT NULL,
  decided_at TIMESTAMPTZ,
  decided_seq BIGINT,
  decided_by TEXT COLLATE "C" NOT NULL,
  decided_why TEXT COLLATE "C" NOT NULL
);
CREATE INDEX factor_proposal_of_lot ON factor_proposal (lot_id);
CREATE TABLE factor_line (
  proposal_id BIGINT NOT NULL REFERENCES factor_proposal (id),
  axis TEXT COLLATE "C" NOT NULL,
  s_text TEXT COLLATE "C" NOT NULL, s_unit TEXT COLLATE "C" NOT NULL, s_pct DOUBLE PRECISION NOT NULL,
  k_text TEXT COLLATE "C" NOT NULL, k_unit TEXT COLLATE "C" NOT NULL, k_base DOUBLE PRECISION NOT NULL,
  low_text TEXT COLLATE "C", low_unit TEXT COLLATE "C", low_pct DOUBLE PRECISION,
  high_text TEXT COLLATE "C", high_unit TEXT COLLATE "C", high_pct DOUBLE PRECISION,
  n INTEGER NOT NULL,
  method TEXT COLLATE "C" NOT NULL,
  taken_from TEXT COLLATE "C" NOT NULL,
  PRIMARY KEY (proposal_id, axis)
);
