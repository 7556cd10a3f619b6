-- +goose Up
-- What was typed in from numbered paper forms, the stops that nobody heard
-- then, and the times in which the service was not there.
CREATE TABLE paper_form (
  id BIGINT PRIMARY KEY,
  form TEXT COLLATE "C" NOT NULL UNIQUE,
  checked_at TIMESTAMPTZ,
  checked_by TEXT COLLATE "C" NOT NULL
);
CREATE TABLE paper_entry (
  id BIGINT PRIMARY KEY,
  form_id BIGINT NOT NULL REFERENCES paper_form (id),
  kind TEXT COLLATE "C" NOT NULL,
  subject TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  entered_at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL,
  typed_by TEXT COLLATE "C" NOT NULL
);
CREATE INDEX paper_entry_of_form ON paper_entry (form_id);
CREATE TABLE missed_stop (
  entry_id BIGINT NOT NULL REFERENCES paper_entry (id),
  place BIGINT NOT NULL,
  gate TEXT COLLATE "C" NOT NULL,
  why TEXT COLLATE "C" NOT NULL,
  lift TEXT COLLATE "C" NOT NULL,
  mode TEXT COLLATE "C" NOT NULL,
  PRIMARY KEY (entry_id, place)
);
CREATE TABLE outage (
  id BIGINT PRIMARY KEY,
  from_at TIMESTAMPTZ NOT NULL,
  until_at TIMESTAMPTZ NOT NULL,
  note TEXT COLLATE "C" NOT NULL,
  noted_by TEXT COLLATE "C" NOT NULL
);
