CREATE TABLE tokens (
    id         TEXT PRIMARY KEY,
    secret     BLOB NOT NULL UNIQUE, -- SHA-256 of the secret, which is kept nowhere
    label      TEXT NOT NULL,
    person     TEXT,
    project    TEXT REFERENCES projects (id),
    role       TEXT NOT NULL,
    created_us INTEGER NOT NULL,
    expires_us INTEGER,
    revoked_us INTEGER
) STRICT, WITHOUT ROWID;
CREATE INDEX tokens_person ON tokens (person, id);
CREATE INDEX tokens_project ON tokens (project, id);

CREATE TABLE invitations (
    id         TEXT PRIMARY KEY,
    secret     BLOB NOT NULL UNIQUE,
    project    TEXT NOT NULL REFERENCES projects (id),
    role       TEXT NOT NULL,
    label      TEXT NOT NULL,
    creator    TEXT NOT NULL,
    created_us INTEGER NOT NULL,
    expires_us INTEGER,
    revoked_us INTEGER,
    max_uses   INTEGER NOT NULL,
    uses       INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX invitations_project ON invitations (project, id);
