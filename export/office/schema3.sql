-- Version 3: what was seen of the parts, and what the people of the house
-- noticed. Of visits stored before, it is read out of their documents.
CREATE TABLE downlead_data.observed (
  job_id     bigint      NOT NULL,
  visit_no   integer     NOT NULL,
  entry_no   bigint      NOT NULL,
  logged_at  timestamptz NOT NULL,
  told_as    text        NOT NULL,
  finding    text        NOT NULL,
  element    text        NOT NULL,
  element_no integer,
  room       text        NOT NULL,
  comes_with text        NOT NULL,
  wording    text        NOT NULL
);
CREATE INDEX observed_job ON downlead_data.observed (job_id);
COMMENT ON TABLE downlead_data.observed IS 'What was seen of the parts, and what the people of the house noticed, one a row.';
INSERT INTO downlead_data.observed
  SELECT DISTINCT ON (v.job_id, (s->>'entry')::bigint) v.job_id, v.visit_no, (s->>'entry')::bigint, (s->>'at')::timestamptz, s->>'kind', s->>'what',
    coalesce(s->>'element', ''), (s->>'number')::integer, coalesce(s->>'room', ''), coalesce(s->>'when', ''), coalesce(s->>'text', '')
  FROM downlead_data.visit v, jsonb_array_elements(CASE jsonb_typeof(v.closeout_json->'seen') WHEN 'array' THEN v.closeout_json->'seen' ELSE '[]' END) s
  ORDER BY v.job_id, (s->>'entry')::bigint, v.visit_no;
