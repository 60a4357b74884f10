CREATE TABLE tokens (
    id uuid PRIMARY KEY,
    secret bytea NOT NULL UNIQUE, -- SHA-256 of the secret, which is kept nowhere
    label text COLLATE "C" NOT NULL,
    person uuid,
    project uuid REFERENCES projects (id),
    role text COLLATE "C" NOT NULL,
    created timestamptz NOT NULL,
    expires timestamptz,
    revoked timestamptz
);
CREATE INDEX tokens_person ON tokens (person, id);
CREATE INDEX tokens_project ON tokens (project, id);

CREATE TABLE invitations (
    id uuid PRIMARY KEY,
    secret bytea NOT NULL UNIQUE,
    project uuid NOT NULL REFERENCES projects (id),
    role text COLLATE "C" NOT NULL,
    label text COLLATE "C" NOT NULL,
    creator text COLLATE "C" NOT NULL,
    created timestamptz NOT NULL,
    expires timestamptz,
    revoked timestamptz,
    max_uses integer NOT NULL,
    uses integer NOT NULL
);
CREATE INDEX invitations_project ON invitations (project, id);
