-- What was heard of necks that were played through. Times are microseconds since 1970,
-- UTC. body is JSON and sound a recording's file, both packed by DEFLATE (RFC 1951).

-- +goose Up
CREATE TABLE heard (
  number    INTEGER PRIMARY KEY,
  identity  BLOB NOT NULL UNIQUE,
  serial    TEXT NOT NULL,
  played    INTEGER, -- where it was not the day it was kept
  added     INTEGER NOT NULL,
  by_whom   TEXT NOT NULL,
  note      TEXT NOT NULL,
  program   TEXT NOT NULL,
  recording BLOB NOT NULL, -- SHA-256 of the recording's file
  kept      INTEGER NOT NULL, -- 1: the recording is in heard_sound
  body      BLOB NOT NULL,
  seal      BLOB NOT NULL -- checksum of all the above but the number
) STRICT;

CREATE TABLE heard_sound (
  heard INTEGER PRIMARY KEY REFERENCES heard (number),
  bytes BLOB NOT NULL
) STRICT;

CREATE INDEX heard_serial ON heard (serial, added);

-- +goose StatementBegin
CREATE TRIGGER heard_stays BEFORE UPDATE ON heard
BEGIN SELECT RAISE(ABORT, 'nothing in the book is overwritten'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER heard_remains BEFORE DELETE ON heard
BEGIN SELECT RAISE(ABORT, 'nothing in the book is removed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER heard_once BEFORE INSERT ON heard WHEN EXISTS (SELECT 1 FROM heard WHERE number = NEW.number OR identity = NEW.identity)
BEGIN SELECT RAISE(ABORT, 'nothing in the book is overwritten'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER heard_sound_stays BEFORE UPDATE ON heard_sound
BEGIN SELECT RAISE(ABORT, 'nothing in the book is overwritten'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER heard_sound_remains BEFORE DELETE ON heard_sound
BEGIN SELECT RAISE(ABORT, 'nothing in the book is removed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER heard_sound_once BEFORE INSERT ON heard_sound WHEN EXISTS (SELECT 1 FROM heard_sound WHERE heard = NEW.heard)
BEGIN SELECT RAISE(ABORT, 'nothing in the book is overwritten'); END;
-- +goose StatementEnd
