BEGIN TRANSACTION;
CREATE TABLE "alerts" (
   "id" TEXT PRIMARY KEY,
   "kind" TEXT NOT NULL,
   "raised_us" INTEGER NOT NULL,
   "since_us" INTEGER NOT NULL,
   "jar_id" TEXT NOT NULL,
   "value" REAL,
   "peak" REAL,
   "cleared_us" INTEGER,
   "acknowledged_us" INTEGER,
   "put_off_until_us" INTEGER,
   "notified_us" INTEGER,
   "boot_id" TEXT NOT NULL,
   "trusted" INTEGER NOT NULL
) STRICT;
INSERT INTO "alerts" VALUES('cold-1','cold',1777874400000000,1777872600000000,'',15.1,14.9,NULL,NULL,NULL,NULL,'boot',1);
INSERT INTO "alerts" VALUES('cold-2','cold',1777874400000000,1777872600000000,'',15.1,14.9,NULL,NULL,NULL,NULL,'boot',1);
INSERT INTO "alerts" VALUES('cold-3','cold',1777874400000000,1777872600000000,'',15.1,14.9,NULL,NULL,NULL,NULL,'boot',1);
INSERT INTO "alerts" VALUES('cold-4','cold',1777874400000000,1777872600000000,'',15.1,14.9,NULL,NULL,NULL,NULL,'boot',1);
INSERT INTO "alerts" VALUES('cold-5','cold',1777874400000000,1777872600000000,'',15.1,14.9,NULL,NULL,NULL,NULL,'boot',1);
INSERT INTO "alerts" VALUES('cold-6','cold',1777874400000000,1777872600000000,'',15.1,14.9,NULL,NULL,NULL,NULL,'boot',1);
INSERT INTO "alerts" VALUES('sun-1','sun',1777874400000000,1777872600000000,'',15.1,14.9,1777874820000000,1777874700000000,1777874760000000,1777874460000000,'boot',1);
INSERT INTO "alerts" VALUES('strain-1','strain',1777874400000000,1777872600000000,'comfrey-1',1777928400.0,14.9,NULL,NULL,NULL,NULL,'boot',1);
CREATE TABLE "boots" (
   "no" INTEGER PRIMARY KEY,
   "boot_id" TEXT NOT NULL
) STRICT;
INSERT INTO "boots" VALUES(0,'log');
INSERT INTO "boots" VALUES(1,'boot');
INSERT INTO "boots" VALUES(2,'other');
CREATE TABLE "days" (
   "day" INTEGER PRIMARY KEY,
   "n" INTEGER NOT NULL,
   "measured_ms" INTEGER NOT NULL,
   "temp_ms" INTEGER NOT NULL,
   "temp_sum" INTEGER NOT NULL,
   "temp_min" INTEGER,
   "temp_max" INTEGER,
   "rh_ms" INTEGER NOT NULL,
   "rh_sum" INTEGER NOT NULL,
   "rh_min" INTEGER,
   "rh_max" INTEGER,
   "light_ms" INTEGER NOT NULL,
   "light_sum" INTEGER NOT NULL,
   "light_min" INTEGER,
   "light_max" INTEGER,
   "silent_ms" INTEGER NOT NULL,
   "sun_ms" INTEGER NOT NULL,
   "hot_ms" INTEGER NOT NULL,
   "cold_ms" INTEGER NOT NULL,
   "damp_ms" INTEGER NOT NULL,
   "bright_ms" INTEGER NOT NULL
) STRICT;
INSERT INTO "days" VALUES(20577,8,420000,360000,5526000000,15100,15600,360000,19800000000,55000,55000,420000,50400000000,120000,120000,0,0,0,300000,0,0);
CREATE TABLE "hours" (
   "hour" INTEGER PRIMARY KEY,
   "n" INTEGER NOT NULL,
   "measured_ms" INTEGER NOT NULL,
   "temp_ms" INTEGER NOT NULL,
   "temp_sum" INTEGER NOT NULL,
   "temp_min" INTEGER,
   "temp_max" INTEGER,
   "rh_ms" INTEGER NOT NULL,
   "rh_sum" INTEGER NOT NULL,
   "rh_min" INTEGER,
   "rh_max" INTEGER,
   "light_ms" INTEGER NOT NULL,
   "light_sum" INTEGER NOT NULL,
   "light_min" INTEGER,
   "light_max" INTEGER,
   "silent_ms" INTEGER NOT NULL,
   "sun_ms" INTEGER NOT NULL,
   "hot_ms" INTEGER NOT NULL,
   "cold_ms" INTEGER NOT NULL,
   "damp_ms" INTEGER NOT NULL,
   "bright_ms" INTEGER NOT NULL
) STRICT;
INSERT INTO "hours" VALUES(493854,8,420000,360000,5526000000,15100,15600,360000,19800000000,55000,55000,420000,50400000000,120000,120000,0,0,0,300000,0,0);
CREATE TABLE outbox (id INTEGER PRIMARY KEY AUTOINCREMENT, topic TEXT NOT NULL, payload BLOB NOT NULL, retain INTEGER NOT NULL, content_type TEXT NOT NULL, created_us INTEGER NOT NULL) STRICT;
INSERT INTO "outbox" VALUES(5,'alerts/cold',X'6D696E7574652035',1,'application/json',1777874460000000);
INSERT INTO "outbox" VALUES(6,'alerts/cold',X'6D696E7574652036',1,'application/json',1777874460000000);
INSERT INTO "outbox" VALUES(7,'notify/phone',X'746F20612070686F6E65',0,'text/plain; charset=utf-8',1777874460000000);
INSERT INTO "outbox" VALUES(8,'events',X'616E206576656E74',0,'application/json',1777874460000000);
CREATE TABLE "outlooks" (
   "jar_id" TEXT PRIMARY KEY,
   "body" TEXT NOT NULL
) STRICT;
INSERT INTO "outlooks" VALUES('comfrey-1','{"jar_id":"comfrey-1","judged_at":"2026-05-04T06:06:00Z","heat":{"warmth":{"excess_ch":[0.3333333333333333,0.3333333333333333,0.3333333333333333,0.3333333333333333,0.3333333333333333,0.3333333333333333,0.3333333333333333],"observed_h":4.5,"bridged_h":0.5,"missing_h":0.25},"through_at":"2026-05-04T06:05:00Z","temp_c":19.987654321,"shelf_c":null,"boot_id":"","boot_s":0.0},"stage":"working","chance_ready":0.1,"chance_past":0.02,"need_low":4.4,"need_likely":5.5,"need_high":6.9,"ready_early_at":null,"ready_likely_at":"2026-05-09T02:40:30Z","ready_late_at":null,"ready_at":null,"evening_at":null,"evening_reason":"","caveats":["No history yet."]}');
INSERT INTO "outlooks" VALUES('yarrow-1','{"jar_id":"yarrow-1","judged_at":"2026-05-04T06:05:00Z","heat":{"warmth":{"excess_ch":[0.3333333333333333,0.3333333333333333,0.3333333333333333,0.3333333333333333,0.3333333333333333,0.3333333333333333,0.3333333333333333],"observed_h":4.5,"bridged_h":0.5,"missing_h":0.25},"through_at":"2026-05-04T06:05:00Z","temp_c":19.987654321,"shelf_c":null,"boot_id":"","boot_s":0.0},"stage":"working","chance_ready":0.1,"chance_past":0.02,"need_low":4.4,"need_likely":5.5,"need_high":6.9,"ready_early_at":null,"ready_likely_at":"2026-05-09T02:40:30Z","ready_late_at":null,"ready_at":null,"evening_at":null,"evening_reason":"","caveats":["No history yet."]}');
CREATE TABLE probes (reading INTEGER NOT NULL, probe TEXT NOT NULL, temp INTEGER NOT NULL, PRIMARY KEY (reading, probe)) STRICT, WITHOUT ROWID;
INSERT INTO "probes" VALUES(17592186104416,'jar-probe',19250);
CREATE TABLE "readings" (
   "id" INTEGER PRIMARY KEY,
   "dated_ms" INTEGER NOT NULL,
   "raw_ms" INTEGER,
   "temp" INTEGER,
   "rh" INTEGER,
   "light" INTEGER,
   "good" INTEGER NOT NULL,
   "missed" INTEGER NOT NULL,
   "trusted" INTEGER NOT NULL,
   "span_ms" INTEGER NOT NULL,
   "marks" INTEGER NOT NULL,
   "raised" INTEGER NOT NULL
) STRICT;
INSERT INTO "readings" VALUES(8796093082208,1777874460000,NULL,15100,55000,120000,12,0,1,60000,0,0);
INSERT INTO "readings" VALUES(8796093142208,1777874520000,NULL,15200,55000,120000,12,0,1,60000,0,8);
INSERT INTO "readings" VALUES(8796093202208,1777874580000,NULL,15300,55000,120000,12,0,1,60000,0,0);
INSERT INTO "readings" VALUES(8796093262208,1777874640000,NULL,15400,55000,120000,12,0,1,60000,0,8);
INSERT INTO "readings" VALUES(8796093322208,1777874700000,NULL,15500,55000,120000,12,0,1,60000,0,0);
INSERT INTO "readings" VALUES(8796093382208,1777874760000,NULL,15600,55000,120000,12,0,1,60000,0,8);
INSERT INTO "readings" VALUES(8796093442208,1777874820000,NULL,NULL,NULL,NULL,0,12,1,60000,0,8);
INSERT INTO "readings" VALUES(17592186104416,1777874880000,NULL,21500,55000,120000,12,0,0,60000,2,8);
CREATE TABLE states (name TEXT PRIMARY KEY, raised INTEGER, held_s REAL, since_us INTEGER, peak REAL, value REAL, slots BLOB) STRICT, WITHOUT ROWID;
INSERT INTO "states" VALUES('cold',1,360.0,1777872599998980,14.123456789,14.2,NULL);
INSERT INTO "states" VALUES('light mean',NULL,7200.0,NULL,NULL,NULL,X'06000000000000000000000000004E40000000000020BC40');
CREATE UNIQUE INDEX "idx_boots_boot_id"
    ON "boots" ("boot_id");
CREATE INDEX "idx_readings_dated_ms"
    ON "readings" ("dated_ms");
CREATE INDEX untrusted ON readings (trusted) WHERE trusted = 0;
CREATE INDEX "idx_alerts_raised_us"
    ON "alerts" ("raised_us");
CREATE INDEX open_alerts ON alerts (id) WHERE cleared_us IS NULL;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('outbox',8);
COMMIT;
PRAGMA application_id = 1245794899;
PRAGMA user_version = 1;
