-- +goose Up
-- An operation that rests, and since when somebody at a tablet was last seen:
-- the tablet locks itself when nobody is there.
ALTER TABLE insert_step ADD COLUMN paused_at TIMESTAMPTZ;
ALTER TABLE insert_step ADD COLUMN paused_by TEXT NOT NULL DEFAULT '';
ALTER TABLE session ADD COLUMN seen_at TIMESTAMPTZ;
