-- +goose Up
-- What the log must not hold: names and secrets, which can be erased, and the
-- comings and goings of sign-in. None of it is a projection of the log.
CREATE TABLE private_person (
  badge TEXT PRIMARY KEY,
  name TEXT NOT NULL,
  pin_hash TEXT NOT NULL,
  password_hash TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE device (
  token_hash TEXT PRIMARY KEY,
  device TEXT NOT NULL,
  station TEXT NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE session (
  token_hash TEXT PRIMARY KEY,
  badge TEXT NOT NULL,
  station TEXT NOT NULL,
  device TEXT NOT NULL,
  how TEXT NOT NULL,
  began_at TEXT NOT NULL,
  ends_at TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX session_of ON session (badge);

CREATE TABLE sign_in_try (
  id INTEGER PRIMARY KEY,
  badge TEXT NOT NULL,
  address TEXT NOT NULL,
  at TEXT NOT NULL,
  good INTEGER NOT NULL
) STRICT;
CREATE INDEX try_from ON sign_in_try (address, at);
CREATE INDEX try_for ON sign_in_try (badge, at);
