-- Form 1. Dates are ISO 8601, lengths millimetres, volumes millilitres, hashes 32 bytes.

-- The counted colours of a picture, in the census's own stored form, by the hash of the file.
CREATE TABLE census (
    content_hash BLOB PRIMARY KEY CHECK (length(content_hash) = 32),
    bytes        BLOB NOT NULL,
    -- Rises with every census kept; the lowest go first when there are too many.
    kept         INTEGER NOT NULL
);
CREATE INDEX census_by_age ON census (kept);

CREATE TABLE job (
    number         INTEGER PRIMARY KEY AUTOINCREMENT,
    added_on       TEXT NOT NULL,
    printed_on     TEXT NOT NULL,
    picture        TEXT NOT NULL,
    content_hash   BLOB NOT NULL CHECK (length(content_hash) = 32),
    ink_set        TEXT NOT NULL,
    -- Of the ink set as it was when the job was added.
    fingerprint    TEXT NOT NULL,
    substrate      TEXT NOT NULL,
    print_mode     TEXT NOT NULL,
    rendering      TEXT NOT NULL,
    policy         TEXT NOT NULL,
    width_mm       REAL NOT NULL CHECK (width_mm > 0),
    height_mm      REAL NOT NULL CHECK (height_mm > 0),
    copies         INTEGER NOT NULL CHECK (copies > 0),
    measured_by    TEXT NOT NULL,
    resolution_ml  REAL NOT NULL CHECK (resolution_ml > 0),
    start_up       INTEGER NOT NULL CHECK (start_up IN (0, 1)),
    cleaning       INTEGER NOT NULL CHECK (cleaning IN (0, 1)),
    margins        INTEGER NOT NULL CHECK (margins IN (0, 1)),
    left_out       INTEGER NOT NULL DEFAULT 0 CHECK (left_out IN (0, 1)),
    note           TEXT NOT NULL DEFAULT ''
);
CREATE INDEX job_by_device ON job (ink_set, print_mode, printed_on);
CREATE INDEX job_by_picture ON job (content_hash);

-- A job has either readings of inks, or one whose ink is '' : the total.
CREATE TABLE reading (
    job   INTEGER NOT NULL REFERENCES job (number),
    ink   TEXT NOT NULL,
    ml    REAL NOT NULL CHECK (ml >= 0),
    PRIMARY KEY (job, ink)
) WITHOUT ROWID;

-- What was corrected, with the value before. Nothing is ever overwritten without a row here.
CREATE TABLE correction (
    number       INTEGER PRIMARY KEY AUTOINCREMENT,
    job          INTEGER NOT NULL REFERENCES job (number),
    corrected_on TEXT NOT NULL,
    what         TEXT NOT NULL,
    before       TEXT NOT NULL,
    after        TEXT NOT NULL,
    reason       TEXT NOT NULL
);
CREATE INDEX correction_by_job ON correction (job);

-- Calibrations are never changed: a new fit is a new version of the name.
CREATE TABLE calibration (
    number        INTEGER PRIMARY KEY AUTOINCREMENT,
    name          TEXT NOT NULL,
    version       INTEGER NOT NULL CHECK (version > 0),
    fitted_on     TEXT NOT NULL,
    program       TEXT NOT NULL,
    ink_set       TEXT NOT NULL,
    fingerprint   TEXT NOT NULL,
    print_mode    TEXT NOT NULL,
    scatter       REAL NOT NULL,
    jobs          INTEGER NOT NULL,
    -- Leave-one-out errors, null with too few jobs.
    mean_error    REAL,
    worst_error   REAL,
    worst_job     INTEGER,
    -- Little-endian doubles, draw by draw: scatter, then by channel lay-down, volumes, start-up.
    draws         BLOB NOT NULL,
    UNIQUE (name, version)
);
CREATE TABLE calibration_channel (
    calibration   INTEGER NOT NULL REFERENCES calibration (number),
    place         INTEGER NOT NULL,
    ink           TEXT NOT NULL,
    lay_down_ml_per_m2 REAL NOT NULL,
    -- Volume at 10 and 40 % coverage as a share of that at full coverage.
    volume_at_10  REAL NOT NULL,
    volume_at_40  REAL NOT NULL,
    start_up_ml   REAL NOT NULL,
    PRIMARY KEY (calibration, place)
) WITHOUT ROWID;
CREATE TABLE calibration_job (
    calibration   INTEGER NOT NULL REFERENCES calibration (number),
    job           INTEGER NOT NULL REFERENCES job (number),
    PRIMARY KEY (calibration, job)
) WITHOUT ROWID;
CREATE TABLE calibration_finding (
    calibration   INTEGER NOT NULL REFERENCES calibration (number),
    place         INTEGER NOT NULL,
    sentence      TEXT NOT NULL,
    PRIMARY KEY (calibration, place)
) WITHOUT ROWID;
-- The calibration that estimates use, by ink set and print mode.
CREATE TABLE active_calibration (
    ink_set       TEXT NOT NULL,
    print_mode    TEXT NOT NULL,
    calibration   INTEGER NOT NULL REFERENCES calibration (number),
    PRIMARY KEY (ink_set, print_mode)
) WITHOUT ROWID;
