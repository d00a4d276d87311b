-- A journal of form 0001, before the first release. Invented; no real garden.
PRAGMA application_id = 1214603632;
BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0001');
CREATE TABLE entries (
	sequence INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	id VARCHAR(32) NOT NULL, 
	kind VARCHAR(32) NOT NULL, 
	at VARCHAR(32) NOT NULL, 
	written_at VARCHAR(32) NOT NULL, 
	author TEXT NOT NULL, 
	origin VARCHAR(32) NOT NULL, 
	body TEXT NOT NULL, 
	UNIQUE (id)
);
INSERT INTO "entries" VALUES(1,'00000000000000000000000000000001','bin','2026-04-01T09:00:00.000000+00:00','2026-04-01T09:00:00.000000+00:00','','command','{"key": "one", "name": "Bin one", "width_m": 1.0, "depth_m": 1.0, "height_m": 1.0, "order": 0}');
INSERT INTO "entries" VALUES(2,'00000000000000000000000000000002','bin','2026-04-01T09:00:00.000000+00:00','2026-04-01T09:00:00.000000+00:00','','command','{"key": "two", "name": "Bin two", "width_m": 1.0, "depth_m": 1.0, "height_m": 1.0, "order": 1}');
INSERT INTO "entries" VALUES(3,'00000000000000000000000000000003','garden','2026-04-01T09:00:00.000000+00:00','2026-04-01T09:00:00.000000+00:00','','command','{"name": "Invented garden", "is_demo": true, "time_zone": "America/Phoenix"}');
INSERT INTO "entries" VALUES(4,'00000000000000000000000000000004','lot','2026-04-01T09:00:00.000000+00:00','2026-04-01T09:00:00.000000+00:00','','command','{"key": "bags", "material_key": "leaves", "container_name": "leaf bag", "container_volume_m3": 0.11, "count": 12}');
INSERT INTO "entries" VALUES(5,'00000000000000000000000000000005','build','2026-04-02T09:00:00.000000+00:00','2026-04-02T09:00:00.000000+00:00','','command','{"batch": "april", "name": "April", "bin": "one", "lines": [{"lot": "bags", "count": 5.0}], "water_kg": 40.0}');
INSERT INTO "entries" VALUES(6,'00000000000000000000000000000006','reading','2026-04-04T09:00:00.000000+00:00','2026-04-04T09:00:00.000000+00:00','','command','{"bin": "one", "temperature_c": 61.5, "depth_m": 0.45, "note": "=steaming"}');
INSERT INTO "entries" VALUES(7,'00000000000000000000000000000007','correct','2026-04-04T11:24:00.000000+00:00','2026-04-04T11:24:00.000000+00:00','','command','{"of": "00000000000000000000000000000006", "body": {"bin": "one", "temperature_c": 58.0}}');
INSERT INTO "entries" VALUES(8,'00000000000000000000000000000008','look','2026-04-05T09:00:00.000000+00:00','2026-04-05T09:00:00.000000+00:00','','command','{"bin": "one", "squeeze": "dry", "smell": "earthy"}');
INSERT INTO "entries" VALUES(9,'00000000000000000000000000000009','turn','2026-04-10T09:00:00.000000+00:00','2026-04-10T09:00:00.000000+00:00','','command','{"bin": "one", "how": "move", "to_bin": "two", "water_kg": 10.0}');
INSERT INTO "entries" VALUES(10,'0000000000000000000000000000000a','note','2026-04-11T09:00:00.000000+00:00','2026-04-11T09:00:00.000000+00:00','','command','{"text": "Ümlaut, 58 °C"}');
INSERT INTO "entries" VALUES(11,'0000000000000000000000000000000b','undo','2026-04-12T09:00:00.000000+00:00','2026-04-12T09:00:00.000000+00:00','','command','{"of": "0000000000000000000000000000000a"}');
COMMIT;
