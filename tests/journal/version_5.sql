-- A journal as version 5 wrote it. Never to be changed: it stands for the files people have.
PRAGMA application_id = 1684107883;
PRAGMA user_version = 5;
CREATE TABLE bath_notes (
        bath INTEGER NOT NULL REFERENCES baths,
        number INTEGER NOT NULL,
        at_utc_ms INTEGER NOT NULL,
        run INTEGER REFERENCES runs,
        area_m2 REAL,
        clearing_ms INTEGER, crc32 INTEGER,
        PRIMARY KEY (bath, number)
    ) WITHOUT ROWID;
CREATE TABLE baths (
        number INTEGER PRIMARY KEY AUTOINCREMENT,
        key TEXT NOT NULL UNIQUE,
        name TEXT NOT NULL,
        volume_ml REAL NOT NULL,
        born_utc_ms INTEGER NOT NULL,
        keeps_ms INTEGER,
        capacity_m2 REAL,
        discarded_utc_ms INTEGER
    , crc32 INTEGER);
CREATE TABLE events (
        run INTEGER NOT NULL REFERENCES runs,
        number INTEGER NOT NULL,
        at_ms INTEGER NOT NULL,
        wall_utc_ms INTEGER NOT NULL,
        kind TEXT NOT NULL,
        meaning TEXT NOT NULL,
        step INTEGER,
        planned_ms INTEGER,
        detail TEXT NOT NULL, crc32 INTEGER,
        PRIMARY KEY (run, number)
    ) WITHOUT ROWID;
INSERT INTO "events" VALUES(1,1,1000,1900000001000,'cue','move',2,1000,'',4273987472);
INSERT INTO "events" VALUES(2,1,1000,1900000001000,'cue','move',2,1000,'',3611339068);
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
        photographs TEXT NOT NULL, crc32 INTEGER,
        PRIMARY KEY (run, number)
    ) WITHOUT ROWID;
INSERT INTO "results" VALUES(1,1,1795762402123,1,NULL,NULL,NULL,NULL,NULL,'','dense','[]',2438230852);
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
    , bases TEXT NOT NULL DEFAULT '[]', crc32 INTEGER, entered_utc_ms INTEGER);
INSERT INTO "runs" VALUES(1,'127448ad37254cbb8e3af6e1864a51a2',1900000000000,5000000,'one-start-of-a-machine','Invented for tests',1608000,'invented.yaml',1,'standard',2,'open','135-36',0.05,'["","","nettle developer","plain fixer","water",""]','finished',1795762402117,0,'[{"source":1,"written_ms":600000,"carried_ms":600000,"adjust":"","for_celsius":20.0,"celsius":20.0,"kj_per_mol":60.0,"doubt":"how much a warmer bath speeds this developer up is a guess (an activation energy of 60 kJ/mol): make a test","room_celsius":null,"constant_ms":0.0}]',3861893772,NULL);
INSERT INTO "runs" VALUES(2,'33db0c55b9c0425a93906338e3bec8ae',1900000000000,5000000,'one-start-of-a-machine','Invented for tests',1623000,'invented.yaml',3,'standard',4,'open','6 x 4x5 in',0.05,'["","","nettle developer","plain fixer","water","water",""]','finished',1795762402123,0,'[{"source":1,"written_ms":600000,"carried_ms":508000,"adjust":"for temperature","for_celsius":20.0,"celsius":22.0,"kj_per_mol":60.0,"doubt":"how much a warmer bath speeds this developer up is a guess (an activation energy of 60 kJ/mol): make a test","room_celsius":null,"constant_ms":0.0}]',622885741,NULL);
INSERT INTO "runs" VALUES(3,'0c84535a14d64d2280192386a1ed4099',1900000000000,5000000,'one-start-of-a-machine','Invented for tests',1608000,'invented.yaml',5,'standard',2,'open','24.4 m of 16 mm',0.05,'["","","nettle developer","plain fixer","water",""]','unfinished',NULL,NULL,'[{"source":1,"written_ms":600000,"carried_ms":600000,"adjust":"","for_celsius":20.0,"celsius":20.0,"kj_per_mol":60.0,"doubt":"how much a warmer bath speeds this developer up is a guess (an activation energy of 60 kJ/mol): make a test","room_celsius":null,"constant_ms":0.0}]',606912594,NULL);
CREATE TABLE texts (
        number INTEGER PRIMARY KEY,
        sha256 TEXT NOT NULL UNIQUE,
        text TEXT NOT NULL
    , crc32 INTEGER);
INSERT INTO "texts" VALUES(1,'65f6de7d8cdb4cfb2404c428a45f4c586edfd8e05abc58680aecf3746ff9df73','title: Invented for tests
about: Invented; untested on film.
film: {format: 135-36, count: 1}
vessel: {kind: tub, light: open, volume: 1.5 l}
temperature: 20 C
steps:
  - load: by hand
  - develop: 10 min  # as on the last roll
    bath: nettle developer
    agitation: 1/2
  - fix: 8 min
    bath: plain fixer
    clearing: 3 min
  - wash: 5 min
',3635114290);
INSERT INTO "texts" VALUES(2,'846d25de1d59bbcf00bff2a472226ae678a22a1d29c77117d547d57061858d23','{"title":"Invented for tests","duration_ms":1608000,"steps":[{"name":"Get ready","kind":"ready","start_ms":0,"end_ms":30000,"dark":false,"source":null},{"name":"Load","kind":"load","start_ms":30000,"end_ms":210000,"dark":true,"source":0},{"name":"Develop","kind":"develop","start_ms":210000,"end_ms":815000,"dark":true,"source":1},{"name":"Fix","kind":"fix","start_ms":815000,"end_ms":1300000,"dark":true,"source":2},{"name":"Wash","kind":"wash","start_ms":1300000,"end_ms":1605000,"dark":false,"source":3},{"name":"Done","kind":"done","start_ms":1605000,"end_ms":1608000,"dark":false,"source":null}],"spans":[{"step":0,"kind":"ready","start_ms":0,"end_ms":30000},{"step":1,"kind":"hand","start_ms":30000,"end_ms":210000},{"step":2,"kind":"transfer","start_ms":210000,"end_ms":215000},{"step":2,"kind":"agitate","start_ms":215000,"end_ms":245000},{"step":2,"kind":"stand","start_ms":245000,"end_ms":275000},{"step":2,"kind":"agitate","start_ms":275000,"end_ms":305000},{"step":2,"kind":"stand","start_ms":305000,"end_ms":335000},{"step":2,"kind":"agitate","start_ms":335000,"end_ms":365000},{"step":2,"kind":"stand","start_ms":365000,"end_ms":395000},{"step":2,"kind":"agitate","start_ms":395000,"end_ms":425000},{"step":2,"kind":"stand","start_ms":425000,"end_ms":455000},{"step":2,"kind":"agitate","start_ms":455000,"end_ms":485000},{"step":2,"kind":"stand","start_ms":485000,"end_ms":515000},{"step":2,"kind":"agitate","start_ms":515000,"end_ms":545000},{"step":2,"kind":"stand","start_ms":545000,"end_ms":575000},{"step":2,"kind":"agitate","start_ms":575000,"end_ms":605000},{"step":2,"kind":"stand","start_ms":605000,"end_ms":635000},{"step":2,"kind":"agitate","start_ms":635000,"end_ms":665000},{"step":2,"kind":"stand","start_ms":665000,"end_ms":695000},{"step":2,"kind":"agitate","start_ms":695000,"end_ms":725000},{"step":2,"kind":"stand","start_ms":725000,"end_ms":755000},{"step":2,"kind":"agitate","start_ms":755000,"end_ms":785000},{"step":2,"kind":"stand","start_ms":785000,"end_ms":805000},{"step":2,"kind":"drain","start_ms":805000,"end_ms":815000},{"step":3,"kind":"transfer","start_ms":815000,"end_ms":820000},{"step":3,"kind":"agitate","start_ms":820000,"end_ms":1290000},{"step":3,"kind":"drain","start_ms":1290000,"end_ms":1300000},{"step":4,"kind":"transfer","start_ms":1300000,"end_ms":1305000},{"step":4,"kind":"stand","start_ms":1305000,"end_ms":1595000},{"step":4,"kind":"drain","start_ms":1595000,"end_ms":1605000},{"step":5,"kind":"done","start_ms":1605000,"end_ms":1608000}],"cues":[{"at_ms":20000,"length_ms":500,"meaning":"ready-1","step":0},{"at_ms":27000,"length_ms":500,"meaning":"pip","step":0},{"at_ms":28000,"length_ms":500,"meaning":"pip","step":0},{"at_ms":29000,"length_ms":500,"meaning":"pip","step":0},{"at_ms":30000,"length_ms":500,"meaning":"lights-out","step":1},{"at_ms":180000,"length_ms":500,"meaning":"ready-2","step":1},{"at_ms":200000,"length_ms":500,"meaning":"ready-1","step":1},{"at_ms":207000,"length_ms":500,"meaning":"pip","step":1},{"at_ms":208000,"length_ms":500,"meaning":"pip","step":1},{"at_ms":209000,"length_ms":500,"meaning":"pip","step":1},{"at_ms":210000,"length_ms":500,"meaning":"enter-develop","step":2},{"at_ms":215000,"length_ms":500,"meaning":"move","step":2},{"at_ms":245000,"length_ms":500,"meaning":"stand","step":2},{"at_ms":260000,"length_ms":500,"meaning":"heartbeat","step":2},{"at_ms":275000,"length_ms":500,"meaning":"move","step":2},{"at_ms":276500,"length_ms":500,"meaning":"tally-1","step":2},{"at_ms":305000,"length_ms":500,"meaning":"stand","step":2},{"at_ms":320000,"length_ms":500,"meaning":"heartbeat","step":2},{"at_ms":335000,"length_ms":500,"meaning":"move","step":2},{"at_ms":336500,"length_ms":500,"meaning":"tally-2","step":2},{"at_ms":365000,"length_ms":500,"meaning":"stand","step":2},{"at_ms":380000,"length_ms":500,"meaning":"heartbeat","step":2},{"at_ms":395000,"length_ms":500,"meaning":"move","step":2},{"at_ms":396500,"length_ms":500,"meaning":"tally-3","step":2},{"at_ms":425000,"length_ms":500,"meaning":"stand","step":2},{"at_ms":440000,"length_ms":500,"meaning":"heartbeat","step":2},{"at_ms":455000,"length_ms":500,"meaning":"move","step":2},{"at_ms":456500,"length_ms":500,"meaning":"tally-4","step":2},{"at_ms":485000,"length_ms":500,"meaning":"stand","step":2},{"at_ms":500000,"length_ms":500,"meaning":"heartbeat","step":2},{"at_ms":515000,"length_ms":500,"meaning":"move","step":2},{"at_ms":516500,"length_ms":500,"meaning":"tally-5","step":2},{"at_ms":545000,"length_ms":500,"meaning":"stand","step":2},{"at_ms":560000,"length_ms":500,"meaning":"heartbeat","step":2},{"at_ms":575000,"length_ms":500,"meaning":"move","step":2},{"at_ms":576500,"length_ms":500,"meaning":"tally-6","step":2},{"at_ms":605000,"length_ms":500,"meaning":"stand","step":2},{"at_ms":620000,"length_ms":500,"meaning":"heartbeat","step":2},{"at_ms":635000,"length_ms":500,"meaning":"move","step":2},{"at_ms":636500,"length_ms":500,"meaning":"tally-7","step":2},{"at_ms":665000,"length_ms":500,"meaning":"stand","step":2},{"at_ms":680000,"length_ms":500,"meaning":"heartbeat","step":2},{"at_ms":695000,"length_ms":500,"meaning":"move","step":2},{"at_ms":696500,"length_ms":500,"meaning":"tally-8","step":2},{"at_ms":725000,"length_ms":500,"meaning":"stand","step":2},{"at_ms":740000,"length_ms":500,"meaning":"heartbeat","step":2},{"at_ms":755000,"length_ms":500,"meaning":"move","step":2},{"at_ms":756500,"length_ms":500,"meaning":"tally-9","step":2},{"at_ms":775000,"length_ms":500,"meaning":"ready-2","step":2},{"at_ms":785000,"length_ms":500,"meaning":"stand","step":2},{"at_ms":795000,"length_ms":500,"meaning":"ready-1","step":2},{"at_ms":802000,"length_ms":500,"meaning":"pip","step":2},{"at_ms":803000,"length_ms":500,"meaning":"pip","step":2},{"at_ms":804000,"length_ms":500,"meaning":"pip","step":2},{"at_ms":805000,"length_ms":500,"meaning":"lift","step":2},{"at_ms":812000,"length_ms":500,"meaning":"pip","step":2},{"at_ms":813000,"length_ms":500,"meaning":"pip","step":2},{"at_ms":814000,"length_ms":500,"meaning":"pip","step":2},{"at_ms":815000,"length_ms":500,"meaning":"enter-fix","step":3},{"at_ms":820000,"length_ms":500,"meaning":"move","step":3},{"at_ms":880000,"length_ms":500,"meaning":"tally-1","step":3},{"at_ms":940000,"length_ms":500,"meaning":"tally-2","step":3},{"at_ms":1000000,"length_ms":500,"meaning":"tally-3","step":3},{"at_ms":1060000,"length_ms":500,"meaning":"tally-4","step":3},{"at_ms":1120000,"length_ms":500,"meaning":"tally-5","step":3},{"at_ms":1180000,"length_ms":500,"meaning":"tally-6","step":3},{"at_ms":1240000,"length_ms":500,"meaning":"tally-7","step":3},{"at_ms":1260000,"length_ms":500,"meaning":"ready-2","step":3},{"at_ms":1280000,"length_ms":500,"meaning":"ready-1","step":3},{"at_ms":1287000,"length_ms":500,"meaning":"pip","step":3},{"at_ms":1288000,"length_ms":500,"meaning":"pip","step":3},{"at_ms":1289000,"length_ms":500,"meaning":"pip","step":3},{"at_ms":1290000,"length_ms":500,"meaning":"lift","step":3},{"at_ms":1297000,"length_ms":500,"meaning":"pip","step":3},{"at_ms":1298000,"length_ms":500,"meaning":"pip","step":3},{"at_ms":1299000,"length_ms":500,"meaning":"pip","step":3},{"at_ms":1300000,"length_ms":500,"meaning":"enter-wash","step":4},{"at_ms":1301000,"length_ms":500,"meaning":"light-safe","step":4},{"at_ms":1305000,"length_ms":500,"meaning":"stand","step":4},{"at_ms":1365000,"length_ms":500,"meaning":"tally-1","step":4},{"at_ms":1425000,"length_ms":500,"meaning":"tally-2","step":4},{"at_ms":1485000,"length_ms":500,"meaning":"tally-3","step":4},{"at_ms":1545000,"length_ms":500,"meaning":"tally-4","step":4},{"at_ms":1565000,"length_ms":500,"meaning":"ready-2","step":4},{"at_ms":1585000,"length_ms":500,"meaning":"ready-1","step":4},{"at_ms":1592000,"length_ms":500,"meaning":"pip","step":4},{"at_ms":1593000,"length_ms":500,"meaning":"pip","step":4},{"at_ms":1594000,"length_ms":500,"meaning":"pip","step":4},{"at_ms":1595000,"length_ms":500,"meaning":"lift","step":4},{"at_ms":1602000,"length_ms":500,"meaning":"pip","step":4},{"at_ms":1603000,"length_ms":500,"meaning":"pip","step":4},{"at_ms":1604000,"length_ms":500,"meaning":"pip","step":4},{"at_ms":1605000,"length_ms":500,"meaning":"end","step":5}],"notes":["A step''s time starts when the film is covered; the drain is inside it.","Loading is work by hand: a live run waits for it, a sound file allows 3:00.","Light is safe at 21:40, and not before: the film is fixed; its cue comes at 21:41."],"outside":["transfer"]}',2382875420);
INSERT INTO "texts" VALUES(3,'3279e3a8a09906e7b189e327e02ca0890aeaefe78151593e8d17e21825808454','title: Invented for tests
about: Invented; untested on film.
film: {format: 4x5 in, sheets: 6}
vessel: {kind: tray, light: open, volume: 1.5 l}
temperature: 22 C
steps:
  - load: by hand
  - develop: 10 min  # as on the last roll
    bath: nettle developer
    time is for: 20 C
    adjust: for temperature
    agitation: 1/4
  - fix: 8 min
    bath: plain fixer
    clearing: 3 min
  - wash: 5 min
',1705353831);
INSERT INTO "texts" VALUES(4,'82a55010d4a31e8f95d982aa64a6b4e65f0f3fe63101291d6cb02c499e36c175','{"title":"Invented for tests","duration_ms":1623000,"steps":[{"name":"Get ready","kind":"ready","start_ms":0,"end_ms":30000,"dark":false,"source":null},{"name":"Load","kind":"load","start_ms":30000,"end_ms":210000,"dark":true,"source":0},{"name":"Develop","kind":"develop","start_ms":210000,"end_ms":810000,"dark":true,"source":1},{"name":"Fix","kind":"fix","start_ms":810000,"end_ms":1290000,"dark":true,"source":2},{"name":"Wash","kind":"wash","start_ms":1290000,"end_ms":1320000,"dark":true,"source":3},{"name":"Wash, in the light","kind":"wash","start_ms":1320000,"end_ms":1590000,"dark":false,"source":3},{"name":"Done","kind":"done","start_ms":1590000,"end_ms":1623000,"dark":false,"source":null}],"spans":[{"step":0,"kind":"ready","start_ms":0,"end_ms":30000},{"step":1,"kind":"hand","start_ms":30000,"end_ms":210000},{"step":2,"kind":"transfer","start_ms":210000,"end_ms":240000},{"step":2,"kind":"agitate","start_ms":240000,"end_ms":270000},{"step":2,"kind":"stand","start_ms":270000,"end_ms":300000},{"step":2,"kind":"agitate","start_ms":300000,"end_ms":315000},{"step":2,"kind":"stand","start_ms":315000,"end_ms":360000},{"step":2,"kind":"agitate","start_ms":360000,"end_ms":375000},{"step":2,"kind":"stand","start_ms":375000,"end_ms":420000},{"step":2,"kind":"agitate","start_ms":420000,"end_ms":435000},{"step":2,"kind":"stand","start_ms":435000,"end_ms":480000},{"step":2,"kind":"agitate","start_ms":480000,"end_ms":495000},{"step":2,"kind":"stand","start_ms":495000,"end_ms":540000},{"step":2,"kind":"agitate","start_ms":540000,"end_ms":555000},{"step":2,"kind":"stand","start_ms":555000,"end_ms":600000},{"step":2,"kind":"agitate","start_ms":600000,"end_ms":615000},{"step":2,"kind":"stand","start_ms":615000,"end_ms":660000},{"step":2,"kind":"agitate","start_ms":660000,"end_ms":675000},{"step":2,"kind":"stand","start_ms":675000,"end_ms":720000},{"step":2,"kind":"agitate","start_ms":720000,"end_ms":735000},{"step":2,"kind":"stand","start_ms":735000,"end_ms":800000},{"step":2,"kind":"drain","start_ms":800000,"end_ms":810000},{"step":3,"kind":"transfer","start_ms":810000,"end_ms":840000},{"step":3,"kind":"agitate","start_ms":840000,"end_ms":1280000},{"step":3,"kind":"drain","start_ms":1280000,"end_ms":1290000},{"step":4,"kind":"transfer","start_ms":1290000,"end_ms":1320000},{"step":5,"kind":"stand","start_ms":1320000,"end_ms":1580000},{"step":5,"kind":"drain","start_ms":1580000,"end_ms":1590000},{"step":6,"kind":"transfer","start_ms":1590000,"end_ms":1620000},{"step":6,"kind":"done","start_ms":1620000,"end_ms":1623000}],"cues":[{"at_ms":20000,"length_ms":500,"meaning":"ready-1","step":0},{"at_ms":27000,"length_ms":500,"meaning":"pip","step":0},{"at_ms":28000,"length_ms":500,"meaning":"pip","step":0},{"at_ms":29000,"length_ms":500,"meaning":"pip","step":0},{"at_ms":30000,"length_ms":500,"meaning":"lights-out","step":1},{"at_ms":180000,"length_ms":500,"meaning":"ready-2","step":1},{"at_ms":200000,"length_ms":500,"meaning":"ready-1","step":1},{"at_ms":207000,"length_ms":500,"meaning":"pip","step":1},{"at_ms":208000,"length_ms":500,"meaning":"pip","step":1},{"at_ms":209000,"length_ms":500,"meaning":"pip","step":1},{"at_ms":210000,"length_ms":500,"meaning":"enter-develop","step":2},{"at_ms":215000,"length_ms":500,"meaning":"sheet","step":2},{"at_ms":220000,"length_ms":500,"meaning":"sheet","step":2},{"at_ms":225000,"length_ms":500,"meaning":"sheet","step":2},{"at_ms":230000,"length_ms":500,"meaning":"sheet","step":2},{"at_ms":235000,"length_ms":500,"meaning":"sheet","step":2},{"at_ms":240000,"length_ms":500,"meaning":"move","step":2},{"at_ms":270000,"length_ms":500,"meaning":"stand","step":2},{"at_ms":271500,"length_ms":500,"meaning":"tally-1","step":2},{"at_ms":285000,"length_ms":500,"meaning":"heartbeat","step":2},{"at_ms":300000,"length_ms":500,"meaning":"move","step":2},{"at_ms":315000,"length_ms":500,"meaning":"stand","step":2},{"at_ms":330000,"length_ms":500,"meaning":"tally-2","step":2},{"at_ms":345000,"length_ms":500,"meaning":"heartbeat","step":2},{"at_ms":360000,"length_ms":500,"meaning":"move","step":2},{"at_ms":375000,"length_ms":500,"meaning":"stand","step":2},{"at_ms":390000,"length_ms":500,"meaning":"tally-3","step":2},{"at_ms":405000,"length_ms":500,"meaning":"heartbeat","step":2},{"at_ms":420000,"length_ms":500,"meaning":"move","step":2},{"at_ms":435000,"length_ms":500,"meaning":"stand","step":2},{"at_ms":450000,"length_ms":500,"meaning":"tally-4","step":2},{"at_ms":465000,"length_ms":500,"meaning":"heartbeat","step":2},{"at_ms":480000,"length_ms":500,"meaning":"move","step":2},{"at_ms":495000,"length_ms":500,"meaning":"stand","step":2},{"at_ms":510000,"length_ms":500,"meaning":"tally-5","step":2},{"at_ms":525000,"length_ms":500,"meaning":"heartbeat","step":2},{"at_ms":540000,"length_ms":500,"meaning":"move","step":2},{"at_ms":555000,"length_ms":500,"meaning":"stand","step":2},{"at_ms":570000,"length_ms":500,"meaning":"tally-6","step":2},{"at_ms":585000,"length_ms":500,"meaning":"heartbeat","step":2},{"at_ms":600000,"length_ms":500,"meaning":"move","step":2},{"at_ms":615000,"length_ms":500,"meaning":"stand","step":2},{"at_ms":630000,"length_ms":500,"meaning":"tally-7","step":2},{"at_ms":645000,"length_ms":500,"meaning":"heartbeat","step":2},{"at_ms":660000,"length_ms":500,"meaning":"move","step":2},{"at_ms":675000,"length_ms":500,"meaning":"stand","step":2},{"at_ms":690000,"length_ms":500,"meaning":"tally-8","step":2},{"at_ms":705000,"length_ms":500,"meaning":"heartbeat","step":2},{"at_ms":720000,"length_ms":500,"meaning":"move","step":2},{"at_ms":735000,"length_ms":500,"meaning":"stand","step":2},{"at_ms":750000,"length_ms":500,"meaning":"tally-9","step":2},{"at_ms":765000,"length_ms":500,"meaning":"heartbeat","step":2},{"at_ms":770000,"length_ms":500,"meaning":"ready-2","step":2},{"at_ms":780000,"length_ms":500,"meaning":"heartbeat","step":2},{"at_ms":790000,"length_ms":500,"meaning":"ready-1","step":2},{"at_ms":797000,"length_ms":500,"meaning":"pip","step":2},{"at_ms":798000,"length_ms":500,"meaning":"pip","step":2},{"at_ms":799000,"length_ms":500,"meaning":"pip","step":2},{"at_ms":800000,"length_ms":500,"meaning":"lift","step":2},{"at_ms":807000,"length_ms":500,"meaning":"pip","step":2},{"at_ms":808000,"length_ms":500,"meaning":"pip","step":2},{"at_ms":809000,"length_ms":500,"meaning":"pip","step":2},{"at_ms":810000,"length_ms":500,"meaning":"enter-fix","step":3},{"at_ms":815000,"length_ms":500,"meaning":"sheet","step":3},{"at_ms":820000,"length_ms":500,"meaning":"sheet","step":3},{"at_ms":825000,"length_ms":500,"meaning":"sheet","step":3},{"at_ms":830000,"length_ms":500,"meaning":"sheet","step":3},{"at_ms":835000,"length_ms":500,"meaning":"sheet","step":3},{"at_ms":840000,"length_ms":500,"meaning":"move","step":3},{"at_ms":870000,"length_ms":500,"meaning":"tally-1","step":3},{"at_ms":930000,"length_ms":500,"meaning":"tally-2","step":3},{"at_ms":990000,"length_ms":500,"meaning":"tally-3","step":3},{"at_ms":1050000,"length_ms":500,"meaning":"tally-4","step":3},{"at_ms":1110000,"length_ms":500,"meaning":"tally-5","step":3},{"at_ms":1170000,"length_ms":500,"meaning":"tally-6","step":3},{"at_ms":1230000,"length_ms":500,"meaning":"tally-7","step":3},{"at_ms":1250000,"length_ms":500,"meaning":"ready-2","step":3},{"at_ms":1270000,"length_ms":500,"meaning":"ready-1","step":3},{"at_ms":1277000,"length_ms":500,"meaning":"pip","step":3},{"at_ms":1278000,"length_ms":500,"meaning":"pip","step":3},{"at_ms":1279000,"length_ms":500,"meaning":"pip","step":3},{"at_ms":1280000,"length_ms":500,"meaning":"lift","step":3},{"at_ms":1287000,"length_ms":500,"meaning":"pip","step":3},{"at_ms":1288000,"length_ms":500,"meaning":"pip","step":3},{"at_ms":1289000,"length_ms":500,"meaning":"pip","step":3},{"at_ms":1290000,"length_ms":500,"meaning":"enter-wash","step":4},{"at_ms":1295000,"length_ms":500,"meaning":"sheet","step":4},{"at_ms":1300000,"length_ms":500,"meaning":"sheet","step":4},{"at_ms":1305000,"length_ms":500,"meaning":"sheet","step":4},{"at_ms":1310000,"length_ms":500,"meaning":"sheet","step":4},{"at_ms":1315000,"length_ms":500,"meaning":"sheet","step":4},{"at_ms":1320000,"length_ms":500,"meaning":"stand","step":5},{"at_ms":1321000,"length_ms":500,"meaning":"light-safe","step":5},{"at_ms":1350000,"length_ms":500,"meaning":"tally-1","step":5},{"at_ms":1410000,"length_ms":500,"meaning":"tally-2","step":5},{"at_ms":1470000,"length_ms":500,"meaning":"tally-3","step":5},{"at_ms":1530000,"length_ms":500,"meaning":"tally-4","step":5},{"at_ms":1550000,"length_ms":500,"meaning":"ready-2","step":5},{"at_ms":1570000,"length_ms":500,"meaning":"ready-1","step":5},{"at_ms":1577000,"length_ms":500,"meaning":"pip","step":5},{"at_ms":1578000,"length_ms":500,"meaning":"pip","step":5},{"at_ms":1579000,"length_ms":500,"meaning":"pip","step":5},{"at_ms":1580000,"length_ms":500,"meaning":"lift","step":5},{"at_ms":1587000,"length_ms":500,"meaning":"pip","step":5},{"at_ms":1588000,"length_ms":500,"meaning":"pip","step":5},{"at_ms":1589000,"length_ms":500,"meaning":"pip","step":5},{"at_ms":1590000,"length_ms":500,"meaning":"round","step":6},{"at_ms":1595000,"length_ms":500,"meaning":"sheet","step":6},{"at_ms":1600000,"length_ms":500,"meaning":"sheet","step":6},{"at_ms":1605000,"length_ms":500,"meaning":"sheet","step":6},{"at_ms":1610000,"length_ms":500,"meaning":"sheet","step":6},{"at_ms":1615000,"length_ms":500,"meaning":"sheet","step":6},{"at_ms":1620000,"length_ms":500,"meaning":"end","step":6}],"notes":["Each sheet''s time runs from its own tick in one bath to its own tick in the next; the drain is inside it.","Loading is work by hand: a live run waits for it, a sound file allows 3:00.","Light is safe at 22:00, and not before: the film is fixed; its cue comes at 22:01."],"outside":[]}',1578809602);
INSERT INTO "texts" VALUES(5,'3197b4e108a43ea0a6aacfc8924e8ca20bfb2aa1984625b2452f8865b8e56f73','steps: [a, develop, of, yore]
',3954849600);
CREATE INDEX runs_by_start ON runs (started_utc_ms);
CREATE INDEX runs_unfinished ON runs (started_utc_ms) WHERE state = 'unfinished';
CREATE INDEX events_counted ON events (run, kind, meaning)
        WHERE kind IN ('fault', 'key');
CREATE UNIQUE INDEX baths_in_use ON baths (name) WHERE discarded_utc_ms IS NULL;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('runs',3);
