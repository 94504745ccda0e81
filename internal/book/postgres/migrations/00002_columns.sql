-- Columns of the records, for charts: a stretch of 4096 numbers in a few values. They
-- are worked out from the records; a change in a stretch drops its columns with it.

-- +goose Up
CREATE TABLE block (
  id      bigint GENERATED ALWAYS AS IDENTITY PRIMARY KEY, -- never used twice: columns of one block belong together
  stretch bigint NOT NULL UNIQUE, -- of the numbers stretch * 4096 and the 4095 after it
  since   bigint NOT NULL, -- when the first and the last of its necks were read
  until   bigint NOT NULL,
  seal    bigint NOT NULL -- checksum of stretch, since and until
);

CREATE TABLE block_part (
  part  integer NOT NULL,
  block bigint NOT NULL REFERENCES block (id) ON DELETE CASCADE,
  bytes bytea NOT NULL,
  PRIMARY KEY (part, block)
);
ALTER TABLE block_part ALTER COLUMN bytes SET STORAGE EXTERNAL; -- as they are: unpacking would cost more than reading
CREATE INDEX block_part_of ON block_part (block);

-- Who may add a record may drop the columns that it makes wrong.
-- +goose StatementBegin
CREATE FUNCTION block_drop() RETURNS trigger LANGUAGE plpgsql SECURITY DEFINER SET search_path = ringtrue AS $$
BEGIN
  DELETE FROM block b USING (SELECT DISTINCT number / 4096 AS stretch FROM fresh) f WHERE b.stretch = f.stretch;
  RETURN NULL;
END $$;
-- +goose StatementEnd
CREATE TRIGGER block_grown AFTER INSERT ON record REFERENCING NEW TABLE AS fresh
  FOR EACH STATEMENT EXECUTE FUNCTION block_drop();
CREATE TRIGGER block_changed AFTER UPDATE ON record REFERENCING NEW TABLE AS fresh
  FOR EACH STATEMENT EXECUTE FUNCTION block_drop();
