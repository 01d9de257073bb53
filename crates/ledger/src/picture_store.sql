-- Form 1 of the store of pictures. Hashes are 32 bytes, of the picture's whole file.
DROP TABLE IF EXISTS file;
DROP TABLE IF EXISTS counted;
DROP TABLE IF EXISTS collected;

-- Files as they were when they were counted.
CREATE TABLE file (
    path         BLOB PRIMARY KEY,
    bytes        INTEGER NOT NULL,
    -- Nanoseconds since 1970.
    modified     INTEGER NOT NULL,
    content_hash BLOB NOT NULL CHECK (length(content_hash) = 32)
) WITHOUT ROWID;

-- Counted pictures, and apart from them their collected colours, which are read by the thousand.
-- `kept` rises with every picture; the lowest go first when there are too many.
CREATE TABLE counted (
    content_hash BLOB PRIMARY KEY CHECK (length(content_hash) = 32),
    kept         INTEGER NOT NULL,
    bytes        BLOB NOT NULL
);
CREATE INDEX counted_by_age ON counted (kept);
CREATE TABLE collected (
    content_hash BLOB PRIMARY KEY CHECK (length(content_hash) = 32),
    kept         INTEGER NOT NULL,
    bytes        BLOB NOT NULL
);
CREATE INDEX collected_by_age ON collected (kept);
