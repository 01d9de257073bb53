-- Form 2: what a service keeps. Times are seconds since 1970 in universal time.

-- Who may ask the service. Only the BLAKE3 hash of a key is kept.
CREATE TABLE api_key (
    number     INTEGER PRIMARY KEY AUTOINCREMENT,
    label      TEXT NOT NULL,
    role       TEXT NOT NULL CHECK (role IN ('shop', 'studio')),
    hash       BLOB NOT NULL UNIQUE CHECK (length(hash) = 32),
    made_at    INTEGER NOT NULL,
    revoked_at INTEGER
);

-- Browsers that have shown a key.
CREATE TABLE session (
    hash    BLOB PRIMARY KEY CHECK (length(hash) = 32),
    api_key INTEGER NOT NULL REFERENCES api_key (number),
    ends_at INTEGER NOT NULL
) WITHOUT ROWID;

-- The one secret from which links are made.
CREATE TABLE link_secret (
    only_one INTEGER PRIMARY KEY CHECK (only_one = 1),
    secret   BLOB NOT NULL CHECK (length(secret) = 32)
);

CREATE TABLE upload (
    number          INTEGER PRIMARY KEY AUTOINCREMENT,
    id              TEXT NOT NULL UNIQUE,
    -- The key that brought it; 0 for the public page.
    owner           INTEGER NOT NULL,
    name            TEXT NOT NULL,
    bytes           INTEGER NOT NULL CHECK (bytes >= 0),
    received_at     INTEGER NOT NULL,
    state           TEXT NOT NULL CHECK (state IN ('received', 'counted', 'refused', 'failed')),
    content_hash    BLOB NOT NULL CHECK (length(content_hash) = 32),
    -- What was asked with it, and what befell it, in the service's own forms.
    wish            TEXT NOT NULL,
    problem         TEXT,
    -- What the census does not tell of the picture; there once it is counted.
    facts           TEXT,
    -- Raised to make all links to the upload void.
    links           INTEGER NOT NULL DEFAULT 0,
    idempotency_key TEXT,
    UNIQUE (owner, idempotency_key)
);
CREATE INDEX upload_by_state ON upload (state, number);
CREATE INDEX upload_by_owner ON upload (owner, number);
CREATE INDEX upload_by_content ON upload (content_hash);

-- Answers that were kept: what was asked and what was said.
CREATE TABLE answer (
    number   INTEGER PRIMARY KEY AUTOINCREMENT,
    upload   INTEGER NOT NULL REFERENCES upload (number) ON DELETE CASCADE,
    kind     TEXT NOT NULL CHECK (kind IN ('estimate', 'comparison', 'quote')),
    -- 1 for the one that an upload gets by itself.
    is_first INTEGER NOT NULL CHECK (is_first IN (0, 1)),
    made_at  INTEGER NOT NULL,
    asked    TEXT NOT NULL,
    document TEXT NOT NULL
);
CREATE INDEX answer_by_upload ON answer (upload, number);
CREATE UNIQUE INDEX first_answer ON answer (upload) WHERE is_first = 1;
