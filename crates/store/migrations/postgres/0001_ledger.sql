-- The ledger of every scope, what lies beside it, and the projections folded from it.

-- Where each ledger stands. `shaped` is its size just after the last record that describes the estate.
CREATE TABLE head (
    scope TEXT COLLATE "C" PRIMARY KEY,
    size BIGINT NOT NULL,
    shaped BIGINT NOT NULL,
    root BYTEA NOT NULL,
    frontier BYTEA NOT NULL
);

-- One fact a row; `bytes` are canonical, `leaf` is their hash with the time of receipt.
-- The other columns repeat what the bytes say, so that they can be searched.
CREATE TABLE record (
    scope TEXT COLLATE "C" NOT NULL,
    idx BIGINT NOT NULL,
    id BYTEA NOT NULL,
    received_ms BIGINT NOT NULL,
    at_ms BIGINT NOT NULL,
    machine TEXT COLLATE "C",
    line TEXT COLLATE "C",
    kind TEXT NOT NULL,
    shapes BIGINT NOT NULL,
    leaf BYTEA NOT NULL,
    bytes BYTEA NOT NULL
);
CREATE UNIQUE INDEX record_order ON record (scope, idx);
CREATE UNIQUE INDEX record_id ON record (scope, id);
CREATE INDEX record_machine ON record (scope, machine, idx);
CREATE INDEX record_shapes ON record (scope, idx) WHERE shapes = 1;

CREATE FUNCTION record_is_final() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN RAISE EXCEPTION 'a record is never changed or deleted: append a correction'; END $$;
CREATE TRIGGER record_never_changed BEFORE UPDATE OR DELETE ON record
FOR EACH ROW EXECUTE FUNCTION record_is_final();
CREATE TRIGGER record_never_emptied BEFORE TRUNCATE ON record
FOR EACH STATEMENT EXECUTE FUNCTION record_is_final();

-- Bytes that came under an id which already stood for other bytes. Both are kept.
CREATE TABLE conflict (
    scope TEXT COLLATE "C" NOT NULL,
    id BYTEA NOT NULL,
    digest BYTEA NOT NULL,
    received_ms BIGINT NOT NULL,
    bytes BYTEA NOT NULL,
    PRIMARY KEY (scope, id, digest)
);

-- Names lie beside the ledger and can be erased: `name` and `folded` become null.
CREATE TABLE person (
    id BYTEA PRIMARY KEY,
    name TEXT,
    folded TEXT UNIQUE
);

-- Free text likewise: `salt` and `text` become null.
CREATE TABLE note (
    scope TEXT COLLATE "C" NOT NULL,
    id BYTEA NOT NULL,
    salt BYTEA,
    text TEXT,
    PRIMARY KEY (scope, id)
);

-- Files brought in, and which stretches of which ledgers came from each.
CREATE TABLE load (
    id BYTEA PRIMARY KEY,
    name TEXT NOT NULL,
    hash TEXT NOT NULL,
    at_ms BIGINT NOT NULL,
    added BIGINT NOT NULL,
    undone_ms BIGINT
);
CREATE TABLE load_range (
    load BYTEA NOT NULL REFERENCES load (id),
    scope TEXT COLLATE "C" NOT NULL,
    first BIGINT NOT NULL,
    last BIGINT NOT NULL,
    PRIMARY KEY (scope, first)
);
CREATE INDEX load_range_load ON load_range (load);

-- Machines whose standing is older than their records.
CREATE TABLE stale (
    scope TEXT COLLATE "C" NOT NULL,
    machine TEXT COLLATE "C" NOT NULL,
    PRIMARY KEY (scope, machine)
);

-- Projection: where each line stands. A line out of use has no urgency.
CREATE TABLE standing (
    scope TEXT COLLATE "C" NOT NULL,
    machine TEXT COLLATE "C" NOT NULL,
    line TEXT COLLATE "C" NOT NULL,
    urgency DOUBLE PRECISION,
    verdict TEXT,
    act TEXT NOT NULL,
    undecided_by TEXT,
    caught_ms BIGINT,
    json TEXT NOT NULL,
    PRIMARY KEY (scope, machine, line)
);
CREATE INDEX standing_urgency ON standing (urgency DESC, scope, machine, line) WHERE urgency IS NOT NULL;
CREATE INDEX standing_verdict ON standing (verdict) WHERE urgency IS NOT NULL;
CREATE INDEX standing_undecided_by ON standing (scope, undecided_by) WHERE undecided_by IS NOT NULL AND urgency IS NOT NULL;
