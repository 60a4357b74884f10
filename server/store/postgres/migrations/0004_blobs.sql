CREATE TABLE blobs (
    hash bytea NOT NULL UNIQUE,
    media_type text COLLATE "C" NOT NULL,
    bytes bytea NOT NULL
);
