-- What stands beside the field tests: races, laboratory values, the factor from LT2 to LT1 heart rate
-- with its history, dated medication, and what was noted of a test's conditions. The rows keep to the
-- rules of the first form.

CREATE TABLE race (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    athlete INTEGER NOT NULL REFERENCES athlete (id) DEFERRABLE INITIALLY DEFERRED,
    run_on TEXT NOT NULL,
    distance_m REAL NOT NULL,
    duration_s REAL NOT NULL,
    peak_heart_rate_bpm REAL,
    seal INTEGER NOT NULL
) STRICT;
CREATE INDEX race_of_athlete ON race (athlete);

CREATE TABLE laboratory_value (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    athlete INTEGER NOT NULL REFERENCES athlete (id) DEFERRABLE INITIALLY DEFERRED,
    measured_on TEXT NOT NULL,
    marker TEXT NOT NULL,
    speed_m_per_s REAL,
    heart_rate_bpm REAL,
    protocol TEXT NOT NULL,
    notes TEXT NOT NULL,
    seal INTEGER NOT NULL
) STRICT;
CREATE INDEX laboratory_value_of_athlete ON laboratory_value (athlete);

CREATE TABLE factor (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    athlete INTEGER NOT NULL REFERENCES athlete (id) DEFERRABLE INITIALLY DEFERRED,
    in_force_from TEXT NOT NULL,
    lt1_of_lt2_heart_rate REAL NOT NULL,
    reason TEXT NOT NULL,
    seal INTEGER NOT NULL
) STRICT;
CREATE INDEX factor_of_athlete ON factor (athlete);

CREATE TABLE medication (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    athlete INTEGER NOT NULL REFERENCES athlete (id) DEFERRABLE INITIALLY DEFERRED,
    taken_from TEXT NOT NULL,
    taken_to TEXT,
    dose TEXT NOT NULL,
    reason TEXT,
    seal INTEGER NOT NULL
) STRICT;
CREATE INDEX medication_of_athlete ON medication (athlete);

CREATE TABLE test_conditions (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    athlete INTEGER NOT NULL REFERENCES athlete (id) DEFERRABLE INITIALLY DEFERRED,
    test INTEGER NOT NULL REFERENCES test (id) DEFERRABLE INITIALLY DEFERRED,
    wet_bulb_globe_celsius REAL,
    altitude_m REAL,
    treadmill INTEGER NOT NULL,
    seal INTEGER NOT NULL
) STRICT;
CREATE INDEX test_conditions_of_athlete ON test_conditions (athlete);
