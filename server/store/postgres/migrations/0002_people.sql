CREATE TABLE people (
    id uuid PRIMARY KEY,
    name text COLLATE "C" NOT NULL,
    email text COLLATE "C" NOT NULL,
    email_key text COLLATE "C" UNIQUE, -- hash of the folded address; NULL for none
    created timestamptz NOT NULL
);

CREATE TABLE members (
    project uuid NOT NULL REFERENCES projects (id),
    person uuid NOT NULL REFERENCES people (id),
    role text COLLATE "C" NOT NULL,
    since timestamptz NOT NULL,
    PRIMARY KEY (project, person)
);
CREATE INDEX members_person ON members (person, project);
