BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0001');
CREATE TABLE entry (
	id VARCHAR(20) NOT NULL, 
	kind VARCHAR(20) NOT NULL, 
	rig_id VARCHAR(20), 
	added_at VARCHAR(32) NOT NULL, 
	latest INTEGER NOT NULL, 
	withdrawn_at VARCHAR(32), 
	PRIMARY KEY (id), 
	CONSTRAINT entry_rig FOREIGN KEY(rig_id) REFERENCES entry (id)
);
INSERT INTO "entry" VALUES('00000000000000000001','rig',NULL,'2026-11-25T09:30:00.000000+00:00',2,NULL);
INSERT INTO "entry" VALUES('00000000000000000002','session','00000000000000000001','2026-11-25T09:30:00.000000+00:00',1,NULL);
INSERT INTO "entry" VALUES('00000000000000000003','group','00000000000000000001','2026-11-25T09:30:00.000000+00:00',1,NULL);
INSERT INTO "entry" VALUES('00000000000000000006','change','00000000000000000001','2026-11-25T09:30:00.000000+00:00',1,NULL);
INSERT INTO "entry" VALUES('00000000000000000004','calibration','00000000000000000001','2026-11-25T09:30:00.000000+00:00',1,NULL);
INSERT INTO "entry" VALUES('00000000000000000007','printer',NULL,'2026-11-25T09:30:00.000000+00:00',1,'2026-11-25T09:30:00.000000+00:00');
INSERT INTO "entry" VALUES('00000000000000000005','print','00000000000000000001','2026-11-25T09:30:00.000000+00:00',1,NULL);
INSERT INTO "entry" VALUES('00000000000000000008','job','00000000000000000001','2026-11-25T09:30:00.000000+00:00',1,NULL);
CREATE TABLE made_from (
	entry_id VARCHAR(20) NOT NULL, 
	number INTEGER NOT NULL, 
	source_id VARCHAR(20) NOT NULL, 
	source_number INTEGER NOT NULL, 
	CONSTRAINT made_from_key PRIMARY KEY (entry_id, number, source_id, source_number), 
	CONSTRAINT made_from_version FOREIGN KEY(entry_id, number) REFERENCES version (entry_id, number), 
	CONSTRAINT made_from_source FOREIGN KEY(source_id, source_number) REFERENCES version (entry_id, number)
);
INSERT INTO "made_from" VALUES('00000000000000000004',1,'00000000000000000001',2);
INSERT INTO "made_from" VALUES('00000000000000000004',1,'00000000000000000003',1);
INSERT INTO "made_from" VALUES('00000000000000000005',1,'00000000000000000004',1);
CREATE TABLE version (
	entry_id VARCHAR(20) NOT NULL, 
	number INTEGER NOT NULL, 
	body TEXT NOT NULL, 
	saved_at VARCHAR(32) NOT NULL, 
	CONSTRAINT version_key PRIMARY KEY (entry_id, number), 
	CONSTRAINT version_entry FOREIGN KEY(entry_id) REFERENCES entry (id)
);
INSERT INTO "version" VALUES('00000000000000000001',1,'{"name":"Heron","sheet":"name = \"Heron\"  # Grüße\n"}','2026-11-25T09:30:00.000000+00:00');
INSERT INTO "version" VALUES('00000000000000000001',2,'{"name":"Heron","sheet":"name = \"Heron\"\n"}','2026-11-25T09:30:00.000000+00:00');
INSERT INTO "version" VALUES('00000000000000000002',1,'{"note":"windy","purpose":"sighting","setup":0,"shot_on":"2026-11-25"}','2026-11-25T09:30:00.000000+00:00');
INSERT INTO "version" VALUES('00000000000000000003',1,'{"note":"","observation":{"air":{"pressure_pa":101325.0,"relative_humidity":0.4,"temperature_k":288.15},"crosswind_mps":1.5,"distance_m":18.288,"group":{"impacts":[{"arrows":1,"called_bad":false,"right_m":0.30000000000000004,"up_m":-1e-17},{"arrows":3,"called_bad":true,"right_m":null,"up_m":0.05}],"name":"first"},"pin":2,"reading_m":0.0301,"slope_rad":-0.1},"session_id":"00000000000000000002"}','2026-11-25T09:30:00.000000+00:00');
INSERT INTO "version" VALUES('00000000000000000006',1,'{"from_rig":1,"new_string":true,"setup":1,"to_rig":2,"words":"new string"}','2026-11-25T09:30:00.000000+00:00');
INSERT INTO "version" VALUES('00000000000000000004',1,'{"arrows":24,"cautions":["Too few far groups."],"fingerprint":"3f2a","groups":6,"marks":[[18.288,0.0301,0.0299,0.0303],[54.864,0.0622,0.0615,0.0631]],"next_shot":"Shoot at 60 yd.","probability":0.9,"program":"0.1.0","seed":7,"trusted_m":[64.0,58.5]}','2026-11-25T09:30:00.000000+00:00');
INSERT INTO "version" VALUES('00000000000000000007',1,'{"across_mm":99.4,"down_mm":100.1,"name":"den"}','2026-11-25T09:30:00.000000+00:00');
INSERT INTO "version" VALUES('00000000000000000005',1,'{"choices":{"hand":"right","paper":"A4"},"fingerprint":"3f2a","printed_on":"2026-11-25","printer_id":"00000000000000000007","what":"tape"}','2026-11-25T09:30:00.000000+00:00');
INSERT INTO "version" VALUES('00000000000000000008',1,'{"state":"waiting","taken_until":"","told":"","what":"calibrate","worker":""}','2026-11-25T09:30:00.000000+00:00');
CREATE INDEX entry_by_kind ON entry (kind, withdrawn_at, added_at);
CREATE INDEX entry_by_rig ON entry (rig_id, kind, added_at);
COMMIT;
