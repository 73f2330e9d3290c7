-- The first form of the library. Any SQLite can read it: no collations or functions of our own.
--
-- Every row ends in `seal`, a checksum of its table's name, its id and every other column, and every
-- row of a fact has `removed`: nothing is ever erased. Days are ISO dates, moments are RFC 3339 in
-- UTC, units stand in the column names. References are deferred so that an act may name its changes
-- in any order.

CREATE TABLE athlete (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    name TEXT NOT NULL,
    born TEXT,
    sex TEXT,
    resting_heart_rate_bpm REAL,
    max_heart_rate_bpm REAL,
    rate_lowering_medication INTEGER NOT NULL,
    screening TEXT NOT NULL,
    screening_on TEXT,
    guardian_consent TEXT,
    sensor TEXT,
    aliases TEXT NOT NULL,
    notes TEXT NOT NULL,
    seal INTEGER NOT NULL
) STRICT;

CREATE TABLE squad (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    name TEXT NOT NULL,
    seal INTEGER NOT NULL
) STRICT;

-- `place` is where the squad stands in the athlete's list.
CREATE TABLE membership (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    athlete INTEGER NOT NULL REFERENCES athlete (id) DEFERRABLE INITIALLY DEFERRED,
    squad INTEGER NOT NULL REFERENCES squad (id) DEFERRABLE INITIALLY DEFERRED,
    place INTEGER NOT NULL,
    seal INTEGER NOT NULL
) STRICT;
CREATE INDEX membership_of_athlete ON membership (athlete);

-- What a recording holds, apart from the list of recordings so that the list stays small.
-- `samples` are columns of little-endian numbers, compressed; `details` is JSON.
CREATE TABLE content (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    details TEXT NOT NULL,
    samples BLOB NOT NULL,
    seal INTEGER NOT NULL
) STRICT;

-- `content_hash` is the SHA-256 of the file's bytes. It is unique among the recordings that can be
-- seen; the index is not, because an athlete's recordings are out of sight while the athlete is removed.
CREATE TABLE recording (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    athlete INTEGER REFERENCES athlete (id) DEFERRABLE INITIALLY DEFERRED,
    content INTEGER NOT NULL REFERENCES content (id) DEFERRABLE INITIALLY DEFERRED,
    content_hash TEXT NOT NULL,
    file_name TEXT NOT NULL,
    started_at TEXT,
    duration_s REAL NOT NULL,
    added_on TEXT NOT NULL,
    seal INTEGER NOT NULL
) STRICT;
CREATE INDEX recording_of_athlete ON recording (athlete);
CREATE INDEX recording_by_hash ON recording (content_hash);

CREATE TABLE test (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    athlete INTEGER NOT NULL REFERENCES athlete (id) DEFERRABLE INITIALLY DEFERRED,
    kind TEXT NOT NULL,
    run_on TEXT NOT NULL,
    distance_m REAL NOT NULL,
    duration_s REAL NOT NULL,
    mean_heart_rate_bpm REAL,
    heart_rate_share REAL NOT NULL,
    peak_heart_rate_bpm REAL,
    evidence TEXT NOT NULL,
    recording INTEGER REFERENCES recording (id) DEFERRABLE INITIALLY DEFERRED,
    effort_from_s REAL,
    effort_to_s REAL,
    found_by TEXT,
    decision TEXT NOT NULL,
    reason TEXT,
    seal INTEGER NOT NULL
) STRICT;
CREATE INDEX test_of_athlete ON test (athlete);

-- Confirmed and handed out, therefore never changed.
CREATE TABLE calibration (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    athlete INTEGER NOT NULL REFERENCES athlete (id) DEFERRABLE INITIALLY DEFERRED,
    in_force_from TEXT NOT NULL,
    basis TEXT NOT NULL,
    markers TEXT NOT NULL,
    zones TEXT NOT NULL,
    seal INTEGER NOT NULL
) STRICT;
CREATE INDEX calibration_of_athlete ON calibration (athlete);

CREATE TABLE booking (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    athlete INTEGER NOT NULL REFERENCES athlete (id) DEFERRABLE INITIALLY DEFERRED,
    kind TEXT NOT NULL,
    booked_on TEXT NOT NULL,
    seal INTEGER NOT NULL
) STRICT;
CREATE INDEX booking_of_athlete ON booking (athlete);

CREATE TABLE away (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    athlete INTEGER NOT NULL REFERENCES athlete (id) DEFERRABLE INITIALLY DEFERRED,
    kind TEXT NOT NULL,
    away_from TEXT NOT NULL,
    away_to TEXT,
    well_on TEXT,
    seal INTEGER NOT NULL
) STRICT;
CREATE INDEX away_of_athlete ON away (athlete);

CREATE TABLE setting (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    name TEXT NOT NULL,
    value TEXT NOT NULL,
    seal INTEGER NOT NULL
) STRICT;

-- The log of acts. `rows` holds, as JSON, the rows an undo (or, once undone, a redo) writes back.
CREATE TABLE act (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    what TEXT NOT NULL,
    done_at TEXT NOT NULL,
    state TEXT NOT NULL,
    schema_version INTEGER NOT NULL,
    rows TEXT NOT NULL,
    seal INTEGER NOT NULL
) STRICT;

-- How many rows each table has and the exclusive or of their seals: a row that vanishes or doubles
-- shows here. `owner` is an athlete's id for that athlete's rows, 0 for the whole table.
CREATE TABLE tally (
    of_table TEXT NOT NULL,
    owner INTEGER NOT NULL,
    row_count INTEGER NOT NULL,
    mix INTEGER NOT NULL,
    last_id INTEGER NOT NULL,
    seal INTEGER NOT NULL,
    PRIMARY KEY (of_table, owner)
) STRICT, WITHOUT ROWID;

-- No fact: remarks already worked out, to be dropped at will. `test_seal` is the seal of the test
-- they were worked out from, so that a changed test never shows old remarks.
CREATE TABLE remark_cache (
    test INTEGER PRIMARY KEY,
    test_seal INTEGER NOT NULL,
    rules_version INTEGER NOT NULL,
    remarks TEXT NOT NULL,
    seal INTEGER NOT NULL
) STRICT;
