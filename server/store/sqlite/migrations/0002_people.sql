CREATE TABLE people (
    id         TEXT PRIMARY KEY,
    name       TEXT NOT NULL,
    email      TEXT NOT NULL,
    email_key  TEXT UNIQUE, -- hash of the folded address; NULL for none
    created_us INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

CREATE TABLE members (
    project  TEXT NOT NULL REFERENCES projects (id),
    person   TEXT NOT NULL REFERENCES people (id),
    role     TEXT NOT NULL,
    since_us INTEGER NOT NULL,
    PRIMARY KEY (project, person)
) STRICT, WITHOUT ROWID;
CREATE INDEX members_person ON members (person, project);
