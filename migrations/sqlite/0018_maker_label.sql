-- +goose Up
-- What stood on the supplier's label when a lot or a container was received.
ALTER TABLE lot ADD COLUMN article TEXT NOT NULL DEFAULT '';
ALTER TABLE lot ADD COLUMN label TEXT NOT NULL DEFAULT '';
ALTER TABLE container ADD COLUMN article TEXT NOT NULL DEFAULT '';
ALTER TABLE container ADD COLUMN serial TEXT NOT NULL DEFAULT '';
ALTER TABLE container ADD COLUMN label TEXT NOT NULL DEFAULT '';
CREATE INDEX container_of_serial ON container (serial) WHERE serial <> '';
