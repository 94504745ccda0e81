-- Columns of the records, for charts: a stretch of 4096 numbers in a few values. They
-- are worked out from the records; a change in a stretch drops its columns with it.

-- +goose Up
CREATE TABLE block (
  id      INTEGER PRIMARY KEY AUTOINCREMENT, -- never used twice: columns of one block belong together
  stretch INTEGER NOT NULL UNIQUE,           -- of the numbers stretch * 4096 and the 4095 after it
  since   INTEGER NOT NULL,                  -- when the first and the last of its necks were read
  until   INTEGER NOT NULL,
  seal    INTEGER NOT NULL                   -- checksum of stretch, since and until
) STRICT;

CREATE TABLE block_part (
  part  INTEGER NOT NULL,
  block INTEGER NOT NULL,
  bytes BLOB NOT NULL,
  PRIMARY KEY (part, block)
) STRICT;
CREATE INDEX block_part_of ON block_part (block);

-- +goose StatementBegin
CREATE TRIGGER block_gone BEFORE DELETE ON block
BEGIN DELETE FROM block_part WHERE block = OLD.id; END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER block_grown AFTER INSERT ON record
BEGIN DELETE FROM block WHERE stretch = NEW.number / 4096; END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER block_changed AFTER UPDATE ON record
BEGIN DELETE FROM block WHERE stretch = OLD.number / 4096; END;
-- +goose StatementEnd
