-- What checks remember, so that the next one need not do it again. All of it may
-- be forgotten: it is then done again.

-- +goose Up
-- Records that a version recalculated with the same result: a bit a number, 4096
-- numbers a row.
CREATE TABLE recalculated (
  maker text NOT NULL,    -- the version, as record.program has it
  block bigint NOT NULL, -- number / 4096
  bits  bytea NOT NULL,    -- the lowest number first
  seal  bytea NOT NULL,    -- checksum of all the above
  PRIMARY KEY (maker, block)
);

-- When a check last found the whole book in order.
CREATE TABLE whole (
  what text PRIMARY KEY, -- bytes: every one as it was kept; results: all the same too
  at   bigint NOT NULL
);
