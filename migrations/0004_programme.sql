-- How a squad tests: its meeting days, how many a day, its retest window, its season; and an athlete's
-- own window. The rows keep to the rules of the first form.

CREATE TABLE programme (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    squad INTEGER NOT NULL REFERENCES squad (id) DEFERRABLE INITIALLY DEFERRED,
    meeting_days TEXT NOT NULL,
    capacity INTEGER NOT NULL,
    opens_weeks INTEGER NOT NULL,
    closes_weeks INTEGER NOT NULL,
    season TEXT NOT NULL,
    seal INTEGER NOT NULL
) STRICT;

CREATE TABLE own_window (
    id INTEGER PRIMARY KEY,
    removed INTEGER NOT NULL CHECK (removed IN (0, 1)),
    athlete INTEGER NOT NULL REFERENCES athlete (id) DEFERRABLE INITIALLY DEFERRED,
    opens_weeks INTEGER NOT NULL,
    closes_weeks INTEGER NOT NULL,
    seal INTEGER NOT NULL
) STRICT;
CREATE INDEX own_window_of_athlete ON own_window (athlete);
