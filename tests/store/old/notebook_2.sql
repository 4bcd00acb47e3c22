BEGIN TRANSACTION;
CREATE TABLE "answers" (
   "id" INTEGER PRIMARY KEY,
   "alert_id" TEXT NOT NULL,
   "at_us" INTEGER NOT NULL,
   "until_us" INTEGER
) STRICT;
INSERT INTO "answers" VALUES(1,'cold-1',1777960800000000,NULL);
INSERT INTO "answers" VALUES(2,'sun-1',1777960800000000,1777969440000000);
CREATE TABLE "entries" (
   "id" INTEGER PRIMARY KEY,
   "jar_id" TEXT NOT NULL,
   "at_us" INTEGER NOT NULL,
   "kind" TEXT NOT NULL,
   "recorded_us" INTEGER NOT NULL,
   "body" TEXT NOT NULL
) STRICT;
INSERT INTO "entries" VALUES(1,'comfrey-1',1777874400000000,'packed',1777874400000000,'{"jar_id":"comfrey-1","at":"2026-05-04T06:00:00Z","plant":"comfrey","jar_ml":2000.0,"plant_g":260.0,"sugar_g":260.0,"probe":"","packing":{"preparation":"ferment","days":null,"blend":[],"cap_g":null,"picked_where":"","vessel":"glass","cover":"cloth","stone_boiled":null,"photos":[]},"kind":"packed"}');
INSERT INTO "entries" VALUES(2,'comfrey-1',1777960800000000,'noted',1777960800000000,'{"jar_id":"comfrey-1","at":"2026-05-05T06:00:00Z","text":"smells sweet","seen":{"juice":"some","smell":null,"bubbles":null,"surface":null},"photos":[],"kind":"noted"}');
INSERT INTO "entries" VALUES(3,'comfrey-1',1778392800000000,'strained',1778392800000000,'{"jar_id":"comfrey-1","at":"2026-05-10T06:00:00Z","kind":"strained"}');
INSERT INTO "entries" VALUES(4,'comfrey-1',1778392800000000,'judged',1778392800000000,'{"jar_id":"comfrey-1","at":"2026-05-10T06:00:00Z","judgement":"right","kind":"judged"}');
INSERT INTO "entries" VALUES(5,'comfrey-1',1778436000000000,'bottled',1778436000000000,'{"jar_id":"comfrey-1","at":"2026-05-10T18:00:00Z","volume_ml":230.0,"kind":"bottled"}');
INSERT INTO "entries" VALUES(6,'yarrow-1',1778047200000000,'packed',1778047200000000,'{"jar_id":"yarrow-1","at":"2026-05-06T06:00:00Z","plant":"yarrow","jar_ml":1000.0,"plant_g":200.0,"sugar_g":133.0,"probe":"","packing":{"preparation":"ferment","days":null,"blend":[],"cap_g":null,"picked_where":"","vessel":"glass","cover":"cloth","stone_boiled":null,"photos":[]},"kind":"packed"}');
INSERT INTO "entries" VALUES(7,'yarrow-1',1778220000000000,'discarded',1778220000000000,'{"jar_id":"yarrow-1","at":"2026-05-08T06:00:00Z","reason":"mould","kind":"discarded"}');
INSERT INTO "entries" VALUES(8,'comfrey-2',1780293600000000,'packed',1780293600000000,'{"jar_id":"comfrey-2","at":"2026-06-01T06:00:00Z","plant":"comfrey","jar_ml":1000.0,"plant_g":150.0,"sugar_g":150.0,"probe":"","packing":{"preparation":"ferment","days":null,"blend":[],"cap_g":null,"picked_where":"","vessel":"glass","cover":"cloth","stone_boiled":null,"photos":[]},"kind":"packed"}');
CREATE TABLE "numbers" (
   "stem" TEXT PRIMARY KEY,
   "last" INTEGER NOT NULL
) STRICT;
INSERT INTO "numbers" VALUES('comfrey',2);
INSERT INTO "numbers" VALUES('yarrow',1);
INSERT INTO "numbers" VALUES('round:seedlings-on-the-sill',1);
INSERT INTO "numbers" VALUES('feeding:feed',2);
INSERT INTO "numbers" VALUES('trial:lettuce',1);
CREATE TABLE "records" (
   "id" INTEGER PRIMARY KEY,
   "noun" TEXT NOT NULL,
   "name" TEXT NOT NULL,
   "at_us" INTEGER NOT NULL,
   "kind" TEXT NOT NULL,
   "recorded_us" INTEGER NOT NULL,
   "body" TEXT NOT NULL
) STRICT;
INSERT INTO "records" VALUES(1,'bottle','comfrey-1-a',1778436000000000,'filled',1778436000000000,'{"bottle_id":"comfrey-1-a","at":"2026-05-10T18:00:00Z","jar_id":"comfrey-1","plant":"comfrey","volume_ml":230.0,"bottle_ml":330.0,"storage":"cool","note":"","kind":"filled"}');
INSERT INTO "records" VALUES(2,'bottle','horsetail-a',1778133600000000,'filled',1778133600000000,'{"bottle_id":"horsetail-a","at":"2026-05-07T06:00:00Z","jar_id":"","plant":"horsetail","volume_ml":140.0,"bottle_ml":330.0,"storage":"cool","note":"a gift","kind":"filled"}');
INSERT INTO "records" VALUES(3,'bottle','horsetail-a',1778565600000000,'drawn',1778565600000000,'{"bottle_id":"horsetail-a","at":"2026-05-12T06:00:00Z","volume_ml":20.0,"feeding_id":"","note":"","kind":"drawn"}');
INSERT INTO "records" VALUES(4,'round','seedlings-on-the-sill-1',1778738400000000,'set',1778738400000000,'{"round_id":"seedlings-on-the-sill-1","at":"2026-05-14T06:00:00Z","method":"leaf spray","place":"seedlings on the sill","least_days":7,"most_days":10,"parts":500.0,"water_ml":2000.0,"first_on":null,"note":"","kind":"set"}');
INSERT INTO "records" VALUES(5,'feeding','feed-1',1778824800000000,'fed',1778824800000000,'{"feeding_id":"feed-1","at":"2026-05-15T06:00:00Z","method":"leaf spray","juice_ml":4.0,"water_ml":2000.0,"place":"seedlings on the sill","bottle_id":"comfrey-1-a","round_id":"seedlings-on-the-sill-1","until_at":null,"note":"","kind":"fed"}');
INSERT INTO "records" VALUES(6,'bottle','comfrey-1-a',1778824800000000,'drawn',1778824800000000,'{"bottle_id":"comfrey-1-a","at":"2026-05-15T06:00:00Z","volume_ml":4.0,"feeding_id":"feed-1","note":"","kind":"drawn"}');
INSERT INTO "records" VALUES(7,'feeding','feed-2',1778911200000000,'fed',1778997600000000,'{"feeding_id":"feed-2","at":"2026-05-16T06:00:00Z","method":"seed soak","juice_ml":0.4,"water_ml":200.0,"place":"pea seeds","bottle_id":"comfrey-1-a","round_id":"","until_at":"2026-05-16T06:30:00Z","note":"","kind":"fed"}');
INSERT INTO "records" VALUES(8,'bottle','comfrey-1-a',1778911200000000,'drawn',1778997600000000,'{"bottle_id":"comfrey-1-a","at":"2026-05-16T06:00:00Z","volume_ml":0.4,"feeding_id":"feed-2","note":"","kind":"drawn"}');
INSERT INTO "records" VALUES(9,'trial','lettuce-1',1779084000000000,'sown',1779084000000000,'{"trial_id":"lettuce-1","at":"2026-05-18T06:00:00Z","seeds":"lettuce","arms":[{"name":"soaked","dishes":[25,25]},{"name":"plain","dishes":[25,25]}],"control":"plain","bottle_id":"comfrey-1-a","treatment":"1 to 500, 20 minutes","note":"","kind":"sown"}');
INSERT INTO "records" VALUES(10,'trial','lettuce-1',1779343200000000,'counted',1779343200000000,'{"trial_id":"lettuce-1","at":"2026-05-21T06:00:00Z","arm":"soaked","germinated":14,"dish":1,"kind":"counted"}');
INSERT INTO "records" VALUES(11,'trial','lettuce-1',1779343200000000,'counted',1779343200000000,'{"trial_id":"lettuce-1","at":"2026-05-21T06:00:00Z","arm":"plain","germinated":9,"dish":1,"kind":"counted"}');
INSERT INTO "records" VALUES(12,'plant','sea holly',1779170400000000,'added',1779170400000000,'{"name":"sea holly","at":"2026-05-19T06:00:00Z","details":{"name":"sea holly","moisture":"dry","parts":"leaves","picking":"","cautions":["Prickly: wear gloves."],"also":[],"own":true},"kind":"added"}');
INSERT INTO "records" VALUES(13,'correction','shelf-air-humidity',1779256800000000,'made',1779256800000000,'{"name":"shelf-air-humidity","at":"2026-05-20T06:00:00Z","correction":{"sensor":"shelf-air","quantity":"humidity","gain":1.0,"offset":-2.5,"residual":0.0,"points":[{"raw":77.8,"true":75.3,"basis":"sodium-chloride at 21.4 °C","at":"2026-05-20T06:00:00Z"}],"made_at":"2026-05-20T06:00:00Z"},"kind":"made"}');
CREATE TABLE "tokens" (
   "token" TEXT PRIMARY KEY,
   "made" TEXT NOT NULL
) STRICT;
INSERT INTO "tokens" VALUES('form-1','comfrey-2');
CREATE INDEX "idx_entries_jar_id"
    ON "entries" ("jar_id");
CREATE INDEX "idx_answers_at_us"
    ON "answers" ("at_us");
CREATE INDEX "idx_records_noun_name"
    ON "records" ("noun", "name");
COMMIT;
PRAGMA application_id = 1245794894;
PRAGMA user_version = 2;
