-- Races may still be to come: a name, how much they matter, and no time yet. Conditions keep what was
-- measured (air and humidity) instead of what was worked out from it, and what was run on. Both
-- tables are made anew; their rows are carried over by the program, which alone knows their seals.

DROP TABLE race;
CREATE TABLE race (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    athlete INTEGER NOT NULL REFERENCES athlete (id) DEFERRABLE INITIALLY DEFERRED,
    run_on TEXT NOT NULL,
    name TEXT NOT NULL,
    distance_m REAL NOT NULL,
    priority TEXT NOT NULL,
    duration_s REAL,
    peak_heart_rate_bpm REAL,
    seal INTEGER NOT NULL
) STRICT;
CREATE INDEX race_of_athlete ON race (athlete);

DROP TABLE test_conditions;
CREATE TABLE test_conditions (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    athlete INTEGER NOT NULL REFERENCES athlete (id) DEFERRABLE INITIALLY DEFERRED,
    test INTEGER NOT NULL REFERENCES test (id) DEFERRABLE INITIALLY DEFERRED,
    air_celsius REAL,
    relative_humidity REAL,
    wet_bulb_globe_celsius REAL,
    altitude_m REAL,
    ground TEXT,
    seal INTEGER NOT NULL
) STRICT;
CREATE INDEX test_conditions_of_athlete ON test_conditions (athlete);
