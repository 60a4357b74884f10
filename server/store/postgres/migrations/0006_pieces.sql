-- Pieces of uploads that are not finished; never the bytes of a blob.
CREATE TABLE pieces (
    project uuid NOT NULL REFERENCES projects (id),
    upload uuid NOT NULL,
    at_byte bigint NOT NULL,
    hash bytea NOT NULL,
    sender text COLLATE "C" NOT NULL,
    created timestamptz NOT NULL,
    size bigint NOT NULL,
    bytes bytea NOT NULL,
    PRIMARY KEY (project, upload, at_byte, hash)
);
CREATE INDEX pieces_sender ON pieces (sender);
CREATE INDEX pieces_created ON pieces (created);
