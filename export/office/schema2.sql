-- Version 2: the jobs of many journals. Version 1 knew no journal, so its rows
-- cannot be told apart: they are set aside, whole, and in no figure.
CREATE SCHEMA downlead_data;
DROP VIEW downlead.latest;
ALTER TABLE downlead.lines SET SCHEMA downlead_data;
ALTER TABLE downlead.closeouts SET SCHEMA downlead_data;
ALTER TABLE downlead_data.lines RENAME TO version1_lines;
ALTER TABLE downlead_data.closeouts RENAME TO version1_closeouts;
COMMENT ON TABLE downlead_data.version1_closeouts IS 'Closeouts as stored before journals had an identity of their own. In no figure; the journals store them again.';
COMMENT ON TABLE downlead_data.version1_lines IS 'The lines of version1_closeouts.';
ALTER TABLE downlead.version ADD COLUMN views text;
COMMENT ON TABLE downlead.version IS 'One row a version of the tables that was made here.';
COMMENT ON COLUMN downlead.version.version IS 'The version of the tables, from 1.';
COMMENT ON COLUMN downlead.version.views IS 'Digest of the views and functions last installed.';

CREATE TABLE downlead_data.salt (bytes bytea NOT NULL);
COMMENT ON TABLE downlead_data.salt IS 'Random bytes under which addresses become site tokens. Whoever has them can try addresses; analysts have no right to read them.';
INSERT INTO downlead_data.salt
  SELECT decode(replace(gen_random_uuid()::text || gen_random_uuid()::text || gen_random_uuid()::text, '-', ''), 'hex');

CREATE TABLE downlead_data.journal (
  journal_id  uuid        PRIMARY KEY,
  technician  text        NOT NULL,
  time_zone   text        NOT NULL,
  is_redacted boolean     NOT NULL,
  stored_to   bigint      NOT NULL,
  head_hash   text        NOT NULL,
  product     text        NOT NULL,
  stored_at      timestamptz NOT NULL DEFAULT now()
);
COMMENT ON TABLE downlead_data.journal IS 'One row a journal: how far it is stored here.';

CREATE SEQUENCE downlead_data.job_ids;
CREATE TABLE downlead_data.job (
  job_id     bigint      PRIMARY KEY,
  journal_id uuid        NOT NULL,
  job        text        NOT NULL,
  last_entry bigint      NOT NULL,
  entry_hash text        NOT NULL,
  is_latest  boolean     NOT NULL,
  technician text        NOT NULL,
  opened     timestamptz,
  closed     timestamptz,
  time_zone  text        NOT NULL,
  site_token text,
  address    text        NOT NULL,
  complaint  text        NOT NULL,
  lat        numeric,
  lon        numeric,
  began      timestamptz,
  ended      timestamptz,
  work_json  jsonb       NOT NULL,
  lesson_json jsonb       NOT NULL,
  stored_at     timestamptz NOT NULL DEFAULT now(),
  UNIQUE (journal_id, job, last_entry)
);
CREATE UNIQUE INDEX job_latest ON downlead_data.job (journal_id, job) WHERE is_latest;
CREATE INDEX job_began ON downlead_data.job (began) WHERE is_latest;
COMMENT ON TABLE downlead_data.job IS 'One row a version of a job. A version is named by the job''s own last entry; the newest in the chain is the latest.';

CREATE TABLE downlead_data.visit (
  job_id            bigint      NOT NULL,
  visit_no          integer     NOT NULL,
  began             timestamptz NOT NULL,
  began_local       timestamp   NOT NULL,
  ended             timestamptz NOT NULL,
  ended_local       timestamp   NOT NULL,
  time_zone         text        NOT NULL,
  is_open           boolean     NOT NULL,
  outcome           text        NOT NULL,
  is_complete       boolean     NOT NULL,
  site_token        text,
  all_checks        boolean     NOT NULL,
  receivers_tested  boolean,
  floor_dbm         numeric,
  threshold         numeric,
  weather           text        NOT NULL,
  temperature_f     numeric,
  travel_s          integer,
  on_site_s         integer,
  breaks_s          integer,
  report_to_clear_s integer,
  arrive_to_clear_s integer,
  active_repair_s   integer,
  is_latest         boolean     NOT NULL,
  closeout_json jsonb       NOT NULL,
  PRIMARY KEY (job_id, visit_no)
);
CREATE INDEX visit_began ON downlead_data.visit (began) WHERE is_latest;
CREATE INDEX visit_site ON downlead_data.visit (site_token, began) WHERE is_latest AND site_token IS NOT NULL;
COMMENT ON TABLE downlead_data.visit IS 'One row a visit to a job.';

CREATE TABLE downlead_data.mark (
  job_id    bigint      NOT NULL,
  visit_no  integer     NOT NULL,
  entry_no  bigint      NOT NULL,
  mark      text        NOT NULL,
  logged_at    timestamptz NOT NULL,
  logged_local timestamp NOT NULL,
  time_zone text        NOT NULL,
  origin    text        NOT NULL
);
CREATE TABLE downlead_data.reading (
  job_id          bigint      NOT NULL,
  visit_no        integer     NOT NULL,
  entry_no        bigint      NOT NULL,
  taken           timestamptz NOT NULL,
  taken_local     timestamp   NOT NULL,
  path_id         text        NOT NULL,
  element         text        NOT NULL,
  element_no      integer,
  side            text        NOT NULL,
  port            integer,
  room            text        NOT NULL,
  verdict         text        NOT NULL,
  level_dbm       numeric,
  level_margin_db numeric,
  strength        numeric,
  strength_margin numeric,
  mer_db          numeric,
  volts           numeric,
  no_signal       boolean     NOT NULL,
  slot            integer,
  transponder     integer,
  polarity        text        NOT NULL,
  repairs_before  integer     NOT NULL,
  is_proof        boolean     NOT NULL
);
CREATE TABLE downlead_data.repair (
  job_id     bigint      NOT NULL,
  visit_no   integer     NOT NULL,
  entry_no   bigint      NOT NULL,
  done       timestamptz NOT NULL,
  act        text        NOT NULL,
  element    text        NOT NULL,
  element_no integer,
  quantity   integer,
  length_ft  numeric,
  proof      text        NOT NULL,
  gain_db    numeric
);
CREATE TABLE downlead_data.checked (
  job_id     bigint      NOT NULL,
  visit_no   integer     NOT NULL,
  entry_no   bigint      NOT NULL,
  logged_at     timestamptz NOT NULL,
  check_name text        NOT NULL,
  verdict    text        NOT NULL,
  remark     text        NOT NULL,
  is_current boolean     NOT NULL
);
CREATE TABLE downlead_data.material (
  job_id    bigint      NOT NULL,
  visit_no  integer     NOT NULL,
  logged_at    timestamptz NOT NULL,
  item      text        NOT NULL,
  quantity  integer,
  length_ft numeric
);
CREATE TABLE downlead_data.drive (
  job_id   bigint      NOT NULL,
  visit_no integer     NOT NULL,
  entry_no bigint      NOT NULL,
  logged_at   timestamptz NOT NULL,
  miles    numeric     NOT NULL
);
CREATE TABLE downlead_data.work_code (
  job_id   bigint      NOT NULL,
  visit_no integer     NOT NULL,
  entry_no bigint      NOT NULL,
  logged_at   timestamptz NOT NULL,
  code     text        NOT NULL,
  units    numeric
);
CREATE TABLE downlead_data.claim (
  job_id     bigint  NOT NULL,
  visit_no   integer NOT NULL,
  claim_code text    NOT NULL,
  subject    text    NOT NULL,
  wording    text    NOT NULL,
  entries    bigint[] NOT NULL
);
CREATE INDEX mark_job ON downlead_data.mark (job_id);
CREATE INDEX reading_job ON downlead_data.reading (job_id);
CREATE INDEX repair_job ON downlead_data.repair (job_id);
CREATE INDEX repair_element ON downlead_data.repair (element, done);
CREATE INDEX checked_job ON downlead_data.checked (job_id);
CREATE INDEX material_job ON downlead_data.material (job_id);
CREATE INDEX work_code_job ON downlead_data.work_code (job_id);
CREATE INDEX drive_job ON downlead_data.drive (job_id);
CREATE INDEX claim_job ON downlead_data.claim (job_id);
COMMENT ON TABLE downlead_data.mark IS 'Time marks, one a row.';
COMMENT ON TABLE downlead_data.reading IS 'Meter readings, one a row.';
COMMENT ON TABLE downlead_data.repair IS 'Changes made to the path, one a row, and what shows that they helped.';
COMMENT ON TABLE downlead_data.checked IS 'Results of checks, one a row.';
COMMENT ON TABLE downlead_data.material IS 'Parts used, one row each time they were said.';
COMMENT ON TABLE downlead_data.drive IS 'Miles driven, one a row.';
COMMENT ON TABLE downlead_data.work_code IS 'Work codes for pay, one a row.';
COMMENT ON TABLE downlead_data.claim IS 'What the record says of the visit, each with its grounds.';
