-- A journal as version 2 wrote it. Never to be changed: it stands for the files people have.
PRAGMA application_id = 1684107883;
CREATE TABLE bath_notes (
        bath INTEGER NOT NULL REFERENCES baths,
        number INTEGER NOT NULL,
        at_utc_ms INTEGER NOT NULL,
        run INTEGER REFERENCES runs,
        area_m2 REAL,
        clearing_ms INTEGER,
        PRIMARY KEY (bath, number)
    ) WITHOUT ROWID;
INSERT INTO "bath_notes" VALUES(1,1,1900000060000,1,0.05,NULL);
CREATE TABLE baths (
        number INTEGER PRIMARY KEY AUTOINCREMENT,
        key TEXT NOT NULL UNIQUE,
        name TEXT NOT NULL,
        volume_ml REAL NOT NULL,
        born_utc_ms INTEGER NOT NULL,
        keeps_ms INTEGER,
        capacity_m2 REAL,
        discarded_utc_ms INTEGER
    );
INSERT INTO "baths" VALUES(1,'key-of-a-bath','plain fixer',1000.0,1899000000000,NULL,0.5,NULL);
CREATE TABLE events (
        run INTEGER NOT NULL REFERENCES runs,
        number INTEGER NOT NULL,
        at_ms INTEGER NOT NULL,
        wall_utc_ms INTEGER NOT NULL,
        kind TEXT NOT NULL,
        meaning TEXT NOT NULL,
        step INTEGER,
        planned_ms INTEGER,
        detail TEXT NOT NULL,
        PRIMARY KEY (run, number)
    ) WITHOUT ROWID;
INSERT INTO "events" VALUES(1,1,1000,1900000001000,'cue','move',2,1000,'');
INSERT INTO "events" VALUES(1,2,5000,1900000005000,'step-begun','',3,5000,'{"why":"it was time"}');
CREATE TABLE results (
        run INTEGER NOT NULL REFERENCES runs,
        number INTEGER NOT NULL,
        added_utc_ms INTEGER NOT NULL,
        density INTEGER CHECK (density BETWEEN -2 AND 2),
        contrast INTEGER CHECK (contrast BETWEEN -2 AND 2),
        evenness INTEGER CHECK (evenness BETWEEN -2 AND 2),
        grain INTEGER CHECK (grain BETWEEN -2 AND 2),
        fog INTEGER CHECK (fog BETWEEN -2 AND 2),
        celsius REAL,
        usable_for TEXT NOT NULL,
        notes TEXT NOT NULL,
        photographs TEXT NOT NULL,
        PRIMARY KEY (run, number)
    ) WITHOUT ROWID;
INSERT INTO "results" VALUES(1,1,1900000090000,1,NULL,NULL,NULL,NULL,20.1,'','"dense"
at the edges','["a.jpg"]');
CREATE TABLE runs (
        number INTEGER PRIMARY KEY AUTOINCREMENT,
        key TEXT NOT NULL UNIQUE,
        started_utc_ms INTEGER NOT NULL,
        started_boot_ms INTEGER,
        boot_id TEXT NOT NULL,
        title TEXT NOT NULL,
        planned_ms INTEGER NOT NULL,
        plan_source TEXT NOT NULL,
        plan INTEGER NOT NULL REFERENCES texts,
        cue_set TEXT NOT NULL,
        timeline INTEGER NOT NULL REFERENCES texts,
        light TEXT NOT NULL,
        film TEXT NOT NULL,
        film_area_m2 REAL,
        baths TEXT NOT NULL,
        state TEXT NOT NULL CHECK (state IN ('unfinished', 'finished', 'aborted')),
        ended_utc_ms INTEGER,
        exit INTEGER
    );
INSERT INTO "runs" VALUES(1,'key-of-one',1900000000000,5000000,'one-start-of-a-machine','Invented',584000,'invented.yaml',1,'standard',2,'open','',0.05,'["","","","plain fixer",""]','finished',1900000060000,0);
CREATE TABLE texts (
        number INTEGER PRIMARY KEY,
        sha256 TEXT NOT NULL UNIQUE,
        text TEXT NOT NULL
    );
INSERT INTO "texts" VALUES(1,'64ea4c46eab10babbafda980ca4fb01dcd6cf23be04e01b84a6c4679137d3506','title: Invented
about: Invented; untested on film.
vessel: {kind: tub, light: open, volume: 1 l}
steps:
  - load: by hand
  - develop: 2 min
    agitation: 1/2
  - fix: 4 min
    bath: plain fixer
    clearing: 1 min
');
INSERT INTO "texts" VALUES(2,'f713752729d68d5125591cf891a16f24c0315f354be49cf4445c6e6c88dc6bc9','{"title":"Invented","duration_ms":584000,"steps":[{"name":"Get ready","kind":"ready","start_ms":0,"end_ms":30000,"dark":false},{"name":"Load","kind":"load","start_ms":30000,"end_ms":210000,"dark":true},{"name":"Develop","kind":"develop","start_ms":210000,"end_ms":335000,"dark":true},{"name":"Fix","kind":"fix","start_ms":335000,"end_ms":580000,"dark":true},{"name":"Done","kind":"done","start_ms":580000,"end_ms":584000,"dark":false}],"spans":[{"step":0,"kind":"ready","start_ms":0,"end_ms":30000},{"step":1,"kind":"hand","start_ms":30000,"end_ms":210000}],"cues":[{"at_ms":20000,"length_ms":500,"meaning":"ready-1","step":0},{"at_ms":27000,"length_ms":500,"meaning":"pip","step":0}],"notes":["A step''s time starts when the film is covered; the drain is inside it.","Loading is work by hand: a live run waits for it, a sound file allows 3:00.","Light is safe at 9:40, and not before: the film is fixed."]}');
CREATE INDEX runs_by_start ON runs (started_utc_ms);
CREATE INDEX runs_unfinished ON runs (started_utc_ms) WHERE state = 'unfinished';
CREATE INDEX events_counted ON events (run, kind, meaning)
        WHERE kind IN ('fault', 'key');
CREATE UNIQUE INDEX baths_in_use ON baths (name) WHERE discarded_utc_ms IS NULL;
PRAGMA user_version = 2;
