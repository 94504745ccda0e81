-- The first book, in a schema of its own. Times are microseconds since 1970,
-- UTC; sizes are mm. Words sort by their bytes, as in a SQLite book.

-- +goose Up
-- A change of the tables is made once, however many programs begin it together.
CREATE UNIQUE INDEX goose_db_version_once ON goose_db_version (version_id);

-- Neck files, each kept once: a model's file serves many necks.
CREATE TABLE neck_file (
  id     bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY,
  digest bytea NOT NULL UNIQUE, -- SHA-256 of bytes
  bytes  bytea NOT NULL
);

CREATE SEQUENCE record_number;

CREATE TABLE record (
  number          bigint PRIMARY KEY,
  identity        bytea NOT NULL UNIQUE,
  serial          text COLLATE "C" NOT NULL,
  stage           text COLLATE "C" NOT NULL,
  added           bigint NOT NULL,
  note            text NOT NULL,
  by_whom         text NOT NULL,
  why             text NOT NULL,
  corrects        bigint REFERENCES record (number),
  tags            text COLLATE "C" NOT NULL, -- JSON, keys sorted
  neck            bigint NOT NULL REFERENCES neck_file (id),
  neck_name       text NOT NULL,
  readings_name   text NOT NULL,
  readings_digest bytea NOT NULL,
  seal            bytea NOT NULL, -- checksum of all the above but the number
  -- What follows is worked out from the files and may be worked out again.
  program         text NOT NULL, -- the version that did; '' where nothing is derived
  model           text COLLATE "C" NOT NULL,
  states          text NOT NULL,
  taken           bigint,
  verdict         text NOT NULL,
  zone            double precision,
  worst           double precision,
  metal           double precision,
  most            double precision,
  refits          integer NOT NULL,
  frets_off       integer NOT NULL,
  derived_seal    bytea NOT NULL,
  crowns          bytea NOT NULL -- packed
);
-- Crowns stay in the row and as they are: charts read them all in one sweep.
ALTER TABLE record ALTER COLUMN crowns SET STORAGE PLAIN;

CREATE INDEX record_serial ON record (serial, added);
CREATE INDEX record_corrects ON record (corrects) WHERE corrects IS NOT NULL;

-- Apart from the record, so that charts need not read past them.
CREATE TABLE readings (
  record bigint PRIMARY KEY REFERENCES record (number),
  bytes  bytea NOT NULL
);

-- +goose StatementBegin
CREATE FUNCTION stays() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN RAISE EXCEPTION 'nothing in the book is overwritten or removed'; END $$;
-- +goose StatementEnd
CREATE TRIGGER record_stays BEFORE UPDATE OF number, identity, serial, stage, added, note, by_whom, why,
  corrects, tags, neck, neck_name, readings_name, readings_digest, seal ON record
  FOR EACH ROW EXECUTE FUNCTION stays();
CREATE TRIGGER record_remains BEFORE DELETE ON record FOR EACH ROW EXECUTE FUNCTION stays();
CREATE TRIGGER record_kept BEFORE TRUNCATE ON record EXECUTE FUNCTION stays();
CREATE TRIGGER readings_stay BEFORE UPDATE OR DELETE ON readings FOR EACH ROW EXECUTE FUNCTION stays();
CREATE TRIGGER readings_kept BEFORE TRUNCATE ON readings EXECUTE FUNCTION stays();
CREATE TRIGGER neck_file_stays BEFORE UPDATE OR DELETE ON neck_file FOR EACH ROW EXECUTE FUNCTION stays();
CREATE TRIGGER neck_file_kept BEFORE TRUNCATE ON neck_file EXECUTE FUNCTION stays();
