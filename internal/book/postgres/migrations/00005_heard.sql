-- What was heard of necks that were played through. Times are microseconds since 1970,
-- UTC. body is JSON and sound a recording's file, both packed by DEFLATE (RFC 1951).

-- +goose Up
CREATE TABLE heard (
  number    bigint PRIMARY KEY,
  identity  bytea NOT NULL UNIQUE,
  serial    text COLLATE "C" NOT NULL,
  played    bigint, -- where it was not the day it was kept
  added     bigint NOT NULL,
  by_whom   text NOT NULL,
  note      text NOT NULL,
  program   text NOT NULL,
  recording bytea NOT NULL, -- SHA-256 of the recording's file
  kept      bigint NOT NULL, -- 1: the recording is in heard_sound
  body      bytea NOT NULL,
  seal      bytea NOT NULL -- checksum of all the above but the number
);

CREATE TABLE heard_sound (
  heard bigint PRIMARY KEY REFERENCES heard (number),
  bytes bytea NOT NULL
);

CREATE INDEX heard_serial ON heard (serial, added);

CREATE TRIGGER heard_stays BEFORE UPDATE OR DELETE ON heard FOR EACH ROW EXECUTE FUNCTION stays();
CREATE TRIGGER heard_kept BEFORE TRUNCATE ON heard EXECUTE FUNCTION stays();
CREATE TRIGGER heard_sound_stays BEFORE UPDATE OR DELETE ON heard_sound FOR EACH ROW EXECUTE FUNCTION stays();
CREATE TRIGGER heard_sound_kept BEFORE TRUNCATE ON heard_sound EXECUTE FUNCTION stays();
