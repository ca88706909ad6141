-- Version 1: closeouts of one journal, as released first.
CREATE TABLE downlead.closeouts (
  head        text        NOT NULL CHECK (head ~ '^[0-9a-f]{64}$'),
  job         text        NOT NULL,
  records     bigint      NOT NULL,
  as_of       timestamptz NOT NULL,
  product     text        NOT NULL,
  outcome     text        NOT NULL,
  complete    boolean     NOT NULL,
  redacted    boolean     NOT NULL,
  address     text        NOT NULL,
  opened      timestamptz,
  closed      timestamptz,
  document    jsonb       NOT NULL,
  stored      timestamptz NOT NULL DEFAULT now(),
  PRIMARY KEY (head, job)
);
CREATE INDEX closeouts_job ON downlead.closeouts (job, records DESC);
CREATE INDEX closeouts_closed ON downlead.closeouts (closed);
CREATE TABLE downlead.lines (
  head        text    NOT NULL,
  job         text    NOT NULL,
  line        integer NOT NULL,
  section     text    NOT NULL,
  entry       bigint,
  at          timestamptz,
  name        text    NOT NULL,
  verdict     text    NOT NULL,
  level_dbm   numeric, level_margin_db numeric, strength numeric, strength_margin numeric, mer_db numeric, volts numeric,
  slot        integer, transponder integer, polarity text NOT NULL,
  quantity    numeric, length_ft numeric, minutes numeric,
  text        text    NOT NULL,
  PRIMARY KEY (head, job, line),
  FOREIGN KEY (head, job) REFERENCES downlead.closeouts ON DELETE CASCADE
);
CREATE INDEX lines_section ON downlead.lines (section, name);
CREATE VIEW downlead.latest AS
  SELECT DISTINCT ON (job) * FROM downlead.closeouts ORDER BY job, as_of DESC, records DESC;
