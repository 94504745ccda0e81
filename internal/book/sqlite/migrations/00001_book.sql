-- The first book. Times are microseconds since 1970, UTC; sizes are mm.

-- +goose Up
PRAGMA application_id = 0x52547262; -- "RTrb": this program's book

-- A change of the tables is made once, however many programs begin it together.
CREATE UNIQUE INDEX goose_db_version_once ON goose_db_version (version_id);

-- Neck files, each kept once: a model's file serves many necks.
CREATE TABLE neck_file (
  id     INTEGER PRIMARY KEY,
  digest BLOB NOT NULL UNIQUE, -- SHA-256 of bytes
  bytes  BLOB NOT NULL
) STRICT;

CREATE TABLE record (
  number          INTEGER PRIMARY KEY,
  identity        BLOB NOT NULL UNIQUE,
  serial          TEXT NOT NULL,
  stage           TEXT NOT NULL,
  added           INTEGER NOT NULL,
  note            TEXT NOT NULL,
  by_whom         TEXT NOT NULL,
  why             TEXT NOT NULL,
  corrects        INTEGER REFERENCES record (number),
  tags            TEXT NOT NULL, -- JSON, keys sorted
  neck            INTEGER NOT NULL REFERENCES neck_file (id),
  neck_name       TEXT NOT NULL,
  readings_name   TEXT NOT NULL,
  readings_digest BLOB NOT NULL,
  seal            BLOB NOT NULL, -- checksum of all the above but the number
  -- What follows is worked out from the files and may be worked out again.
  program         TEXT NOT NULL, -- the version that did; '' where nothing is derived
  model           TEXT NOT NULL,
  states          TEXT NOT NULL,
  taken           INTEGER,
  verdict         TEXT NOT NULL,
  zone            REAL,
  worst           REAL,
  metal           REAL,
  most            REAL,
  refits          INTEGER NOT NULL,
  frets_off       INTEGER NOT NULL,
  derived_seal    BLOB NOT NULL,
  crowns          BLOB NOT NULL -- packed, last: short columns are read without it
) STRICT;

CREATE INDEX record_serial ON record (serial, added);
CREATE INDEX record_corrects ON record (corrects) WHERE corrects IS NOT NULL;

-- Apart from the record, so that charts need not read past them.
CREATE TABLE readings (
  record INTEGER PRIMARY KEY REFERENCES record (number),
  bytes  BLOB NOT NULL
) STRICT;

-- +goose StatementBegin
CREATE TRIGGER record_stays BEFORE UPDATE OF number, identity, serial, stage, added, note, by_whom, why,
  corrects, tags, neck, neck_name, readings_name, readings_digest, seal ON record
BEGIN SELECT RAISE(ABORT, 'nothing in the book is overwritten'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER record_remains BEFORE DELETE ON record
BEGIN SELECT RAISE(ABORT, 'nothing in the book is removed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER readings_stay BEFORE UPDATE ON readings
BEGIN SELECT RAISE(ABORT, 'nothing in the book is overwritten'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER readings_remain BEFORE DELETE ON readings
BEGIN SELECT RAISE(ABORT, 'nothing in the book is removed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER neck_file_stays BEFORE UPDATE ON neck_file
BEGIN SELECT RAISE(ABORT, 'nothing in the book is overwritten'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER neck_file_remains BEFORE DELETE ON neck_file
BEGIN SELECT RAISE(ABORT, 'nothing in the book is removed'); END;
-- +goose StatementEnd
-- A REPLACE would remove the old row unasked (sqlite.org/lang_conflict.html).
-- +goose StatementBegin
CREATE TRIGGER record_once BEFORE INSERT ON record
WHEN EXISTS (SELECT 1 FROM record WHERE number = NEW.number) OR EXISTS (SELECT 1 FROM record WHERE identity = NEW.identity)
BEGIN SELECT RAISE(ABORT, 'nothing in the book is overwritten'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER readings_once BEFORE INSERT ON readings WHEN EXISTS (SELECT 1 FROM readings WHERE record = NEW.record)
BEGIN SELECT RAISE(ABORT, 'nothing in the book is overwritten'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER neck_file_once BEFORE INSERT ON neck_file
WHEN EXISTS (SELECT 1 FROM neck_file WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM neck_file WHERE digest = NEW.digest)
BEGIN SELECT RAISE(ABORT, 'nothing in the book is overwritten'); END;
-- +goose StatementEnd
