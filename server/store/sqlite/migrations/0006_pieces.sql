-- Pieces of uploads that are not finished; never the bytes of a blob. The bytes
-- come last, so that sums need not read past them.
CREATE TABLE pieces (
    project    TEXT NOT NULL REFERENCES projects (id),
    upload     TEXT NOT NULL,
    at_byte    INTEGER NOT NULL,
    hash       BLOB NOT NULL,
    sender     TEXT NOT NULL,
    created_us INTEGER NOT NULL,
    size       INTEGER NOT NULL,
    bytes      BLOB NOT NULL
) STRICT;
CREATE UNIQUE INDEX pieces_key ON pieces (project, upload, at_byte, hash);
CREATE INDEX pieces_sender ON pieces (sender);
CREATE INDEX pieces_created ON pieces (created_us);
