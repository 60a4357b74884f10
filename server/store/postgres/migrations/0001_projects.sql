-- Texts are compared by bytes (COLLATE "C"), as in every other engine.
CREATE TABLE projects (
    id uuid PRIMARY KEY,
    revision bigint NOT NULL,
    updated timestamptz NOT NULL,
    summary_revision bigint NOT NULL DEFAULT 0,
    input_hash text COLLATE "C" NOT NULL DEFAULT '',
    name text COLLATE "C" NOT NULL DEFAULT '',
    town text COLLATE "C" NOT NULL DEFAULT '',
    region text COLLATE "C" NOT NULL DEFAULT '',
    status text COLLATE "C" NOT NULL DEFAULT '',
    open_stops integer NOT NULL DEFAULT 0,
    owner text COLLATE "C" NOT NULL DEFAULT '',
    payload bytea,
    name_key text COLLATE "C" NOT NULL DEFAULT '', -- what lists by name are sorted by
    search_key text COLLATE "C" NOT NULL DEFAULT ''  -- what a list's text filter looks into
);
CREATE INDEX projects_updated ON projects (updated, id);
CREATE INDEX projects_name ON projects (name_key, id);
CREATE INDEX projects_region ON projects (region, updated, id);
CREATE INDEX projects_status ON projects (status, updated, id);
CREATE INDEX projects_owner ON projects (owner, updated, id);
CREATE INDEX projects_open_stops ON projects (updated, id) WHERE open_stops > 0;

CREATE TABLE entries (
    project uuid NOT NULL REFERENCES projects (id),
    revision bigint NOT NULL,
    id uuid NOT NULL,
    actor text COLLATE "C" NOT NULL,
    role text COLLATE "C" NOT NULL,
    time timestamptz NOT NULL,
    kind text COLLATE "C" NOT NULL,
    schema_version integer NOT NULL,
    content bytea NOT NULL, -- hash by which a repeat is recognised
    payload bytea
);
CREATE UNIQUE INDEX entries_revision ON entries (project, revision);
CREATE UNIQUE INDEX entries_id ON entries (project, id);

CREATE TABLE documents (
    project uuid NOT NULL REFERENCES projects (id),
    kind text COLLATE "C" NOT NULL,
    id text COLLATE "C" NOT NULL,
    revision bigint NOT NULL,
    schema_version integer NOT NULL,
    payload bytea
);
CREATE UNIQUE INDEX documents_id ON documents (project, kind, id);
