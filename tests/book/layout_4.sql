-- SPDX-License-Identifier: GPL-3.0-or-later
-- A book as the program of layout 4 wrote it. Never changed: such books are out there.
PRAGMA application_id = 1131374956;
PRAGMA user_version = 4;
BEGIN TRANSACTION;
CREATE TABLE coil (id INTEGER PRIMARY KEY, machine INTEGER NOT NULL REFERENCES machine(id), name TEXT NOT NULL COLLATE NOCASE, UNIQUE (machine, name)) STRICT;
INSERT INTO "coil" VALUES(1,1,'brake coil');
INSERT INTO "coil" VALUES(2,2,'coil');
CREATE TABLE cost (id INTEGER PRIMARY KEY, job INTEGER NOT NULL REFERENCES job(id), kind TEXT NOT NULL, amount REAL NOT NULL, note TEXT, made_s INTEGER NOT NULL) STRICT;
INSERT INTO "cost" VALUES(1,1,'instead',380.25,NULL,2000);
CREATE TABLE hours (id INTEGER PRIMARY KEY, job INTEGER NOT NULL REFERENCES job(id), hours REAL NOT NULL, who TEXT, what TEXT, made_s INTEGER NOT NULL) STRICT;
INSERT INTO "hours" VALUES(1,1,2.25,'M.',NULL,2000);
CREATE TABLE job (id INTEGER PRIMARY KEY, uid TEXT NOT NULL UNIQUE, coil INTEGER NOT NULL REFERENCES coil(id), name TEXT NOT NULL, note TEXT, state INTEGER NOT NULL DEFAULT 0, made_s INTEGER NOT NULL, changed_s INTEGER NOT NULL, based_on INTEGER REFERENCES job(id)) STRICT;
INSERT INTO "job" VALUES(1,'aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa1',1,'Press brake','Found open',2,1000,1700,NULL);
INSERT INTO "job" VALUES(2,'aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa2',2,'Chuck',NULL,0,1500,1500,1);
CREATE TABLE job_key (job INTEGER PRIMARY KEY REFERENCES job(id), wire TEXT COLLATE NOCASE, build TEXT, shape TEXT, inner_m REAL, inner_2_m REAL, length_m REAL, depth_m REAL, resistance_20c_ohm REAL, turns REAL) STRICT;
INSERT INTO "job_key" VALUES(1,'29 AWG','heavy','round',0.042,0.042,0.058,0.013,84.2,1850.0);
CREATE TABLE machine (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE COLLATE NOCASE, note TEXT) STRICT;
INSERT INTO "machine" VALUES(1,'Press brake',NULL);
INSERT INTO "machine" VALUES(2,'Chuck','old');
CREATE TABLE photo (id INTEGER PRIMARY KEY, job INTEGER NOT NULL REFERENCES job(id), sha256 TEXT NOT NULL, type TEXT NOT NULL, bytes INTEGER NOT NULL, caption TEXT, added_s INTEGER NOT NULL, UNIQUE (job, sha256)) STRICT;
CREATE TABLE reading (id INTEGER PRIMARY KEY, job INTEGER NOT NULL REFERENCES job(id), kind TEXT NOT NULL, value REAL NOT NULL, doubt REAL, at_c REAL, unit TEXT, source TEXT, note TEXT, taken_s INTEGER NOT NULL) STRICT;
INSERT INTO "reading" VALUES(1,1,'coil-resistance',84.2,0.4,24.0,'ohm','typed',NULL,2000);
CREATE TABLE result (id INTEGER PRIMARY KEY, job INTEGER NOT NULL, version INTEGER NOT NULL, verb TEXT NOT NULL, json TEXT NOT NULL, made_s INTEGER NOT NULL, FOREIGN KEY (job, version) REFERENCES version(job, number)) STRICT;
INSERT INTO "result" VALUES(1,1,1,'identify','{"a": 1}',1800);
CREATE TABLE spool (id INTEGER PRIMARY KEY, uid TEXT NOT NULL UNIQUE, size TEXT NOT NULL COLLATE NOCASE, build TEXT, material TEXT, thermal_class_c REAL, mass_kg_per_m REAL NOT NULL CHECK (mass_kg_per_m > 0), bought_m REAL NOT NULL CHECK (bought_m > 0), price REAL, supplier TEXT, note TEXT, bought_s INTEGER NOT NULL) STRICT;
INSERT INTO "spool" VALUES(1,'bbbbbbbbbbbbbbbbbbbbbbbbbbbbbbbb','29 AWG','heavy','copper',180.0,0.0006,756.0,21.0,NULL,NULL,500);
CREATE TABLE stock_use (id INTEGER PRIMARY KEY, spool INTEGER NOT NULL REFERENCES spool(id), job INTEGER REFERENCES job(id), length_m REAL NOT NULL, note TEXT, made_s INTEGER NOT NULL) STRICT;
INSERT INTO "stock_use" VALUES(1,1,1,-300.0,NULL,2000);
CREATE TABLE version (job INTEGER NOT NULL REFERENCES job(id), number INTEGER NOT NULL, yaml TEXT NOT NULL, made_s INTEGER NOT NULL, PRIMARY KEY (job, number)) STRICT, WITHOUT ROWID;
INSERT INTO "version" VALUES(1,1,'coilwright: 1
',1000);
INSERT INTO "version" VALUES(1,2,'coilwright: 1
# two
',1700);
INSERT INTO "version" VALUES(2,1,'coilwright: 1
',1500);
CREATE INDEX job_by_coil ON job (coil);
CREATE INDEX job_by_change ON job (changed_s);
CREATE INDEX result_by_job ON result (job, verb, version);
CREATE INDEX reading_by_job ON reading (job);
CREATE INDEX job_key_by_resistance ON job_key (resistance_20c_ohm, inner_m);
CREATE INDEX job_key_by_inner ON job_key (inner_m, length_m);
CREATE INDEX job_key_by_wire ON job_key (wire, inner_m);
CREATE INDEX spool_by_size ON spool (size);
CREATE INDEX stock_use_by_spool ON stock_use (spool, length_m);
CREATE INDEX stock_use_by_job ON stock_use (job);
CREATE INDEX cost_by_job ON cost (job);
CREATE INDEX hours_by_job ON hours (job);
CREATE INDEX job_by_basis ON job (based_on) WHERE based_on IS NOT NULL;
CREATE VIRTUAL TABLE job_text USING fts5 (words, tokenize = 'trigram');
INSERT INTO job_text (rowid, words) VALUES(1,'Press brake
brake coil
Found open');
INSERT INTO job_text (rowid, words) VALUES(2,'Chuck
coil
');
COMMIT;
