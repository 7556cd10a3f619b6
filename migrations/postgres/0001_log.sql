-- +goose Up
-- The log: what is written here is never changed. head has one row, which
-- every writing transaction updates first.
CREATE TABLE head (
  id BIGINT PRIMARY KEY CHECK (id = 1),
  size BIGINT NOT NULL
);
INSERT INTO head (id, size) VALUES (1, 0);

CREATE TABLE entry (
  seq BIGINT PRIMARY KEY,
  id BYTEA NOT NULL UNIQUE,
  kind TEXT COLLATE "C" NOT NULL,
  payload TEXT COLLATE "C" NOT NULL
);

-- Hashes of the Merkle tree, numbered as golang.org/x/mod/sumdb/tlog stores them.
CREATE TABLE node (
  idx BIGINT PRIMARY KEY,
  hash BYTEA NOT NULL
);

CREATE TABLE checkpoint (
  size BIGINT PRIMARY KEY,
  note TEXT COLLATE "C" NOT NULL
);

-- +goose StatementBegin
CREATE FUNCTION log_stays() RETURNS trigger AS $$
BEGIN
  RAISE EXCEPTION 'the log is never changed or deleted';
END $$ LANGUAGE plpgsql;
-- +goose StatementEnd
CREATE TRIGGER entry_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON entry EXECUTE FUNCTION log_stays();
CREATE TRIGGER node_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON node EXECUTE FUNCTION log_stays();
CREATE TRIGGER checkpoint_stays BEFORE UPDATE OR DELETE OR TRUNCATE ON checkpoint EXECUTE FUNCTION log_stays();
