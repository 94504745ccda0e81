-- What people say of necks between their records, and records by their time, for the
-- list of necks in hand. Times are microseconds since 1970, UTC.

-- +goose Up
CREATE TABLE note (
  number  bigint PRIMARY KEY,
  serial  text COLLATE "C" NOT NULL,
  said    text NOT NULL,
  by_whom text NOT NULL,
  at      bigint NOT NULL, -- the moment it speaks of
  added   bigint NOT NULL,
  seal    bytea NOT NULL -- checksum of all the above but the number
);

CREATE INDEX note_serial ON note (serial, added);
CREATE INDEX note_added ON note (added);
-- It holds all that the list asks of a record: the rows themselves are long.
CREATE INDEX record_added ON record (added) INCLUDE (number, serial, stage, program, verdict, frets_off, corrects);

CREATE TRIGGER note_stays BEFORE UPDATE OR DELETE ON note FOR EACH ROW EXECUTE FUNCTION stays();
CREATE TRIGGER note_kept BEFORE TRUNCATE ON note EXECUTE FUNCTION stays();
