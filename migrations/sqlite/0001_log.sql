-- +goose Up
-- The log: what is written here is never changed. head has one row, which
-- every writing transaction updates first.
CREATE TABLE head (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  size INTEGER NOT NULL
) STRICT;
INSERT INTO head (id, size) VALUES (1, 0);

CREATE TABLE entry (
  seq INTEGER PRIMARY KEY,
  id BLOB NOT NULL UNIQUE,
  kind TEXT NOT NULL,
  payload TEXT NOT NULL
) STRICT;

-- Hashes of the Merkle tree, numbered as golang.org/x/mod/sumdb/tlog stores them.
CREATE TABLE node (
  idx INTEGER PRIMARY KEY,
  hash BLOB NOT NULL
) STRICT;

CREATE TABLE checkpoint (
  size INTEGER PRIMARY KEY,
  note TEXT NOT NULL
) STRICT;

-- +goose StatementBegin
CREATE TRIGGER entry_stays BEFORE UPDATE ON entry
BEGIN SELECT RAISE(ABORT, 'log entries are never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER entry_kept BEFORE DELETE ON entry
BEGIN SELECT RAISE(ABORT, 'log entries are never deleted'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER node_stays BEFORE UPDATE ON node
BEGIN SELECT RAISE(ABORT, 'log hashes are never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER node_kept BEFORE DELETE ON node
BEGIN SELECT RAISE(ABORT, 'log hashes are never deleted'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER checkpoint_stays BEFORE UPDATE ON checkpoint
BEGIN SELECT RAISE(ABORT, 'checkpoints are never changed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER checkpoint_kept BEFORE DELETE ON checkpoint
BEGIN SELECT RAISE(ABORT, 'checkpoints are never deleted'); END;
-- +goose StatementEnd
