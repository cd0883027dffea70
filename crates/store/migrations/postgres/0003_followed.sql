-- How much of a site's ledger, and of the group's, the standing of its lines has followed by their history.
-- Where either has grown since, what is said of some of its lines rests on their catches alone.
CREATE TABLE followed (
    scope TEXT COLLATE "C" PRIMARY KEY,
    size BIGINT NOT NULL,
    group_size BIGINT NOT NULL
);
