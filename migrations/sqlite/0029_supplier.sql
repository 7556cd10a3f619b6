-- +goose Up
-- Documents that were issued outside the shop, as they are filed with a thing:
-- certificates, safety data sheets. Their bytes stand in document_bytes.
CREATE TABLE filing (
  id INTEGER PRIMARY KEY,
  document TEXT NOT NULL,
  media_type TEXT NOT NULL,
  size INTEGER NOT NULL,
  name TEXT NOT NULL,
  on_kind TEXT NOT NULL,
  on_code TEXT NOT NULL,
  note TEXT NOT NULL,
  at TEXT NOT NULL,
  by_badge TEXT NOT NULL,
  type TEXT NOT NULL,
  number TEXT NOT NULL,
  issued_on TEXT NOT NULL,
  issued_by TEXT NOT NULL,
  corrected_by INTEGER,
  withdrawn_by INTEGER,
  withdrawn_why TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX filing_on ON filing (on_kind, on_code);
CREATE INDEX filing_document ON filing (document);

-- Who supplied a lot, as it stands on its label; older lots say none.
ALTER TABLE lot ADD COLUMN supplier TEXT NOT NULL DEFAULT '';
