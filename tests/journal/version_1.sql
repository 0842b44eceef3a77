-- A journal as version 1 wrote it. Never to be changed: it stands for the files people have.
PRAGMA application_id = 1684107883;
CREATE TABLE texts (number INTEGER PRIMARY KEY, sha256 TEXT NOT NULL UNIQUE, text TEXT NOT NULL);
CREATE TABLE runs (
  number INTEGER PRIMARY KEY AUTOINCREMENT, key TEXT NOT NULL UNIQUE,
  started_utc_ms INTEGER NOT NULL, started_boot_ms INTEGER, boot_id TEXT NOT NULL,
  title TEXT NOT NULL, planned_ms INTEGER NOT NULL, plan_source TEXT NOT NULL,
  plan INTEGER NOT NULL REFERENCES texts, cue_set TEXT NOT NULL,
  timeline INTEGER NOT NULL REFERENCES texts, light TEXT NOT NULL, film TEXT NOT NULL,
  film_area_m2 REAL, baths TEXT NOT NULL,
  state TEXT NOT NULL CHECK (state IN ('unfinished', 'finished', 'aborted')),
  ended_utc_ms INTEGER, exit INTEGER
);
CREATE INDEX runs_by_start ON runs (started_utc_ms);
CREATE INDEX runs_unfinished ON runs (started_utc_ms) WHERE state = 'unfinished';
CREATE TABLE events (
  run INTEGER NOT NULL REFERENCES runs, number INTEGER NOT NULL, at_ms INTEGER NOT NULL,
  wall_utc_ms INTEGER NOT NULL, kind TEXT NOT NULL, meaning TEXT NOT NULL, step INTEGER,
  planned_ms INTEGER, detail TEXT NOT NULL, PRIMARY KEY (run, number)
) WITHOUT ROWID;
CREATE INDEX events_counted ON events (run, kind, meaning) WHERE kind IN ('fault', 'key');
INSERT INTO texts VALUES (1, 'a', 'title: Invented'), (2, 'b', '{"title":"Invented","duration_ms":60000,"steps":[],"spans":[],"cues":[],"notes":[]}');
INSERT INTO runs VALUES (7, 'key-of-seven', 1900000000000, 5000, 'a-start', 'Invented', 60000, 'invented.yaml', 1, 'standard', 2, 'open', '120', NULL, '[]', 'finished', 1900000060000, 0);
INSERT INTO events VALUES (7, 1, 0, 1900000000000, 'cue', 'move', NULL, 0, ''), (7, 2, 60000, 1900000060000, 'note', '', NULL, NULL, '{"why":"over"}');
PRAGMA user_version = 1;
