-- What people say of necks between their records, and records by their time, for the
-- list of necks in hand. Times are microseconds since 1970, UTC.

-- +goose Up
CREATE TABLE note (
  number  INTEGER PRIMARY KEY,
  serial  TEXT NOT NULL,
  said    TEXT NOT NULL,
  by_whom TEXT NOT NULL,
  at      INTEGER NOT NULL, -- the moment it speaks of
  added   INTEGER NOT NULL,
  seal    BLOB NOT NULL -- checksum of all the above but the number
) STRICT;

CREATE INDEX note_serial ON note (serial, added);
CREATE INDEX note_added ON note (added);
-- It holds all that the list asks of a record: the rows themselves are long.
CREATE INDEX record_added ON record (added, serial, stage, program, verdict, frets_off, corrects);

-- +goose StatementBegin
CREATE TRIGGER note_stays BEFORE UPDATE ON note
BEGIN SELECT RAISE(ABORT, 'nothing in the book is overwritten'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER note_remains BEFORE DELETE ON note
BEGIN SELECT RAISE(ABORT, 'nothing in the book is removed'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER note_once BEFORE INSERT ON note WHEN EXISTS (SELECT 1 FROM note WHERE number = NEW.number)
BEGIN SELECT RAISE(ABORT, 'nothing in the book is overwritten'); END;
-- +goose StatementEnd
