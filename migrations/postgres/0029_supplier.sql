-- +goose Up
-- Documents that were issued outside the shop, as they are filed with a thing:
-- certificates, safety data sheets. Their bytes stand in document_bytes.
CREATE TABLE filing (
  id BIGINT PRIMARY KEY,
  document TEXT COLLATE "C" NOT NULL,
  media_type TEXT COLLATE "C" NOT NULL,
  size BIGINT NOT NULL,
  name TEXT COLLATE "C" NOT NULL,
  on_kind TEXT COLLATE "C" NOT NULL,
  on_code TEXT COLLATE "C" NOT NULL,
  note TEXT COLLATE "C" NOT NULL,
  at TIMESTAMPTZ NOT NULL,
  by_badge TEXT COLLATE "C" NOT NULL,
  type TEXT COLLATE "C" NOT NULL,
  number TEXT COLLATE "C" NOT NULL,
  issued_on TEXT COLLATE "C" NOT NULL,
  issued_by TEXT COLLATE "C" NOT NULL,
  corrected_by BIGINT,
  withdrawn_by BIGINT,
  withdrawn_why TEXT COLLATE "C" NOT NULL DEFAULT ''
);
CREATE INDEX filing_on ON filing (on_kind, on_code);
CREATE INDEX filing_document ON filing (document);

-- Who supplied a lot, as it stands on its label; older lots say none.
ALTER TABLE lot ADD COLUMN supplier TEXT COLLATE "C" NOT NULL DEFAULT '';
