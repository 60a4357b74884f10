-- Times are microseconds since 1970 UTC; ids are UUIDs as lower-case text.
CREATE TABLE projects (
    id               TEXT PRIMARY KEY,
    revision         INTEGER NOT NULL,
    updated_us       INTEGER NOT NULL,
    summary_revision INTEGER NOT NULL DEFAULT 0,
    input_hash       TEXT NOT NULL DEFAULT '',
    name             TEXT NOT NULL DEFAULT '',
    town             TEXT NOT NULL DEFAULT '',
    region           TEXT NOT NULL DEFAULT '',
    status           TEXT NOT NULL DEFAULT '',
    open_stops       INTEGER NOT NULL DEFAULT 0,
    owner            TEXT NOT NULL DEFAULT '',
    payload          BLOB,
    name_key         TEXT NOT NULL DEFAULT '', -- what lists by name are sorted by
    search_key       TEXT NOT NULL DEFAULT ''  -- what a list's text filter looks into
) STRICT, WITHOUT ROWID;
CREATE INDEX projects_updated ON projects (updated_us, id);
CREATE INDEX projects_name ON projects (name_key, id);
CREATE INDEX projects_region ON projects (region, updated_us, id);
CREATE INDEX projects_status ON projects (status, updated_us, id);
CREATE INDEX projects_owner ON projects (owner, updated_us, id);
CREATE INDEX projects_open_stops ON projects (updated_us, id) WHERE open_stops > 0;

CREATE TABLE entries (
    project        TEXT NOT NULL REFERENCES projects (id),
    revision       INTEGER NOT NULL,
    id             TEXT NOT NULL,
    actor          TEXT NOT NULL,
    role           TEXT NOT NULL,
    time_us        INTEGER NOT NULL,
    kind           TEXT NOT NULL,
    schema_version INTEGER NOT NULL,
    content        BLOB NOT NULL, -- hash by which a repeat is recognised
    payload        BLOB
) STRICT;
CREATE UNIQUE INDEX entries_revision ON entries (project, revision);
CREATE UNIQUE INDEX entries_id ON entries (project, id);

CREATE TABLE documents (
    project        TEXT NOT NULL REFERENCES projects (id),
    kind           TEXT NOT NULL,
    id             TEXT NOT NULL,
    revision       INTEGER NOT NULL,
    schema_version INTEGER NOT NULL,
    payload        BLOB
) STRICT;
CREATE UNIQUE INDEX documents_id ON documents (project, kind, id);
