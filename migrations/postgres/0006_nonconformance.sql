-- +goose Up
-- What does not conform: one number, its pieces with what was decided about
-- each, and the concessions that were given for them.
CREATE TABLE nonconformance (
  id BIGINT PRIMARY KEY,
  nonconformance TEXT COLLATE "C" NOT NULL UNIQUE
);
CREATE TABLE nonconformance_item (
  id BIGINT PRIMARY KEY,
  nonconformance_id BIGINT NOT NULL REFERENCES nonconformance (id),
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  what TEXT COLLATE "C" NOT NULL,
  raised_at TIMESTAMPTZ NOT NULL,
  raised_by TEXT COLLATE "C" NOT NULL,
  state TEXT COLLATE "C" NOT NULL,
  disposition TEXT COLLATE "C" NOT NULL,
  back TEXT COLLATE "C" NOT NULL,
  decided_seq BIGINT,
  decided_at TIMESTAMPTZ,
  decided_by TEXT COLLATE "C" NOT NULL,
  note TEXT COLLATE "C" NOT NULL,
  UNIQUE (nonconformance_id, insert_id)
);
CREATE INDEX nonconformance_of_insert ON nonconformance_item (insert_id);
CREATE INDEX nonconformance_open ON nonconformance_item (state) WHERE state = 'open';
CREATE TABLE concession (
  id BIGINT PRIMARY KEY,
  concession TEXT COLLATE "C" NOT NULL UNIQUE,
  nonconformance_id BIGINT NOT NULL REFERENCES nonconformance (id),
  what TEXT COLLATE "C" NOT NULL,
  mould TEXT COLLATE "C" NOT NULL,
  customer TEXT COLLATE "C" NOT NULL,
  customer_reference TEXT COLLATE "C" NOT NULL,
  quantity BIGINT NOT NULL,
  expires_day TEXT COLLATE "C" NOT NULL,
  given_at TIMESTAMPTZ NOT NULL,
  given_by TEXT COLLATE "C" NOT NULL,
  withdrawn_at TIMESTAMPTZ,
  withdrawn_by TEXT COLLATE "C" NOT NULL,
  withdrawn_why TEXT COLLATE "C" NOT NULL
);
CREATE TABLE concession_insert (
  concession_id BIGINT NOT NULL REFERENCES concession (id),
  insert_id BIGINT NOT NULL REFERENCES mould_insert (id),
  PRIMARY KEY (concession_id, insert_id)
);
CREATE INDEX concession_of_insert ON concession_insert (insert_id);
CREATE TABLE concession_limit (
  concession_id BIGINT NOT NULL REFERENCES concession (id),
  place BIGINT NOT NULL,
  of_characteristic TEXT COLLATE "C" NOT NULL,
  lower_text TEXT COLLATE "C", lower_unit TEXT COLLATE "C", lower_base DOUBLE PRECISION,
  upper_text TEXT COLLATE "C", upper_unit TEXT COLLATE "C", upper_base DOUBLE PRECISION,
  PRIMARY KEY (concession_id, place)
);
