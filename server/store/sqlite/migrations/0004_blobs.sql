CREATE TABLE blobs (
    hash       BLOB NOT NULL UNIQUE,
    media_type TEXT NOT NULL,
    bytes      BLOB NOT NULL
) STRICT;
