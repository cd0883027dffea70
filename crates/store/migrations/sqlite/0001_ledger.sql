-- The ledger of every scope, what lies beside it, and the projections folded from it.

-- Where each ledger stands. `shaped` is its size just after the last record that describes the estate.
CREATE TABLE head (
    scope TEXT PRIMARY KEY,
    size INTEGER NOT NULL,
    shaped INTEGER NOT NULL,
    root BLOB NOT NULL,
    frontier BLOB NOT NULL
) STRICT, WITHOUT ROWID;

-- One fact a row; `bytes` are canonical, `leaf` is their hash with the time of receipt.
-- The other columns repeat what the bytes say, so that they can be searched.
CREATE TABLE record (
    scope TEXT NOT NULL,
    idx INTEGER NOT NULL,
    id BLOB NOT NULL,
    received_ms INTEGER NOT NULL,
    at_ms INTEGER NOT NULL,
    machine TEXT,
    line TEXT,
    kind TEXT NOT NULL,
    shapes INTEGER NOT NULL,
    leaf BLOB NOT NULL,
    bytes BLOB NOT NULL
) STRICT;
CREATE UNIQUE INDEX record_order ON record (scope, idx);
CREATE UNIQUE INDEX record_id ON record (scope, id);
CREATE INDEX record_machine ON record (scope, machine, idx);
CREATE INDEX record_shapes ON record (scope, idx) WHERE shapes = 1;

CREATE TRIGGER record_never_changed BEFORE UPDATE ON record
BEGIN SELECT RAISE(ABORT, 'a record is never changed: append a correction'); END;
CREATE TRIGGER record_never_deleted BEFORE DELETE ON record
BEGIN SELECT RAISE(ABORT, 'a record is never deleted: append a correction'); END;

-- Bytes that came under an id which already stood for other bytes. Both are kept.
CREATE TABLE conflict (
    scope TEXT NOT NULL,
    id BLOB NOT NULL,
    digest BLOB NOT NULL,
    received_ms INTEGER NOT NULL,
    bytes BLOB NOT NULL,
    PRIMARY KEY (scope, id, digest)
) STRICT;

-- Names lie beside the ledger and can be erased: `name` and `folded` become null.
CREATE TABLE person (
    id BLOB PRIMARY KEY,
    name TEXT,
    folded TEXT UNIQUE
) STRICT;

-- Free text likewise: `salt` and `text` become null.
CREATE TABLE note (
    scope TEXT NOT NULL,
    id BLOB NOT NULL,
    salt BLOB,
    text TEXT,
    PRIMARY KEY (scope, id)
) STRICT;

-- Files brought in, and which stretches of which ledgers came from each.
CREATE TABLE load (
    id BLOB PRIMARY KEY,
    name TEXT NOT NULL,
    hash TEXT NOT NULL,
    at_ms INTEGER NOT NULL,
    added INTEGER NOT NULL,
    undone_ms INTEGER
) STRICT;
CREATE TABLE load_range (
    load BLOB NOT NULL REFERENCES load (id),
    scope TEXT NOT NULL,
    first INTEGER NOT NULL,
    last INTEGER NOT NULL,
    PRIMARY KEY (scope, first)
) STRICT;
CREATE INDEX load_range_load ON load_range (load);

-- Machines whose standing is older than their records.
CREATE TABLE stale (
    scope TEXT NOT NULL,
    machine TEXT NOT NULL,
    PRIMARY KEY (scope, machine)
) STRICT, WITHOUT ROWID;

-- Projection: where each line stands. A line out of use has no urgency.
CREATE TABLE standing (
    scope TEXT NOT NULL,
    machine TEXT NOT NULL,
    line TEXT NOT NULL,
    urgency REAL,
    verdict TEXT,
    act TEXT NOT NULL,
    undecided_by TEXT,
    caught_ms INTEGER,
    json TEXT NOT NULL,
    PRIMARY KEY (scope, machine, line)
) STRICT;
CREATE INDEX standing_urgency ON standing (urgency DESC, scope, machine, line) WHERE urgency IS NOT NULL;
CREATE INDEX standing_verdict ON standing (verdict) WHERE urgency IS NOT NULL;
CREATE INDEX standing_undecided_by ON standing (scope, undecided_by) WHERE undecided_by IS NOT NULL AND urgency IS NOT NULL;
