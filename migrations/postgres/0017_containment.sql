-- +goose Up
-- Containment: the inserts that a suspect thing touched, held in one act; those
-- that are out of reach; and the notices to whom they were delivered.
ALTER TABLE hold ADD COLUMN containment TEXT COLLATE "C" NOT NULL DEFAULT '';
CREATE INDEX hold_of_containment ON hold (containment) WHERE containment <> '';
CREATE TABLE containment (
  id BIGINT PRIMARY KEY,
  containment TEXT COLLATE "C" NOT NULL UNIQUE,
  of_kind TEXT COLLATE "C" NOT NULL,
  of_code TEXT COLLATE "C" NOT NULL,
  narrowed TEXT COLLATE "C" NOT NULL,
  why TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL
);
CREATE TABLE containment_outside (
  containment_id BIGINT NOT NULL REFERENCES containment (id),
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  why TEXT COLLATE "C" NOT NULL,
  customer TEXT COLLATE "C" NOT NULL,
  mould TEXT COLLATE "C" NOT NULL,
  note TEXT COLLATE "C" NOT NULL,
  since_at TIMESTAMPTZ NOT NULL,
  PRIMARY KEY (containment_id, insert_id)
);
CREATE TABLE recall_notice (
  containment_id BIGINT NOT NULL REFERENCES containment (id),
  customer TEXT COLLATE "C" NOT NULL,
  says TEXT COLLATE "C" NOT NULL,
  how TEXT COLLATE "C" NOT NULL,
  sent_at TIMESTAMPTZ,
  sent_by TEXT COLLATE "C" NOT NULL,
  answer TEXT COLLATE "C" NOT NULL,
  answered_at TIMESTAMPTZ,
  answered_by TEXT COLLATE "C" NOT NULL,
  PRIMARY KEY (containment_id, customer)
);
CREATE TABLE trace_drill (
  id BIGINT PRIMARY KEY,
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  upstream BIGINT NOT NULL,
  downstream BIGINT NOT NULL,
  missing TEXT COLLATE "C" NOT NULL,
  took_us BIGINT NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL
);
