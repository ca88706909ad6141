-- The views and functions for whoever asks. They are made anew when they
-- change. Column names are no words of SQL. Times are timestamptz, with the
-- wall clock's time beside them in …_local and its zone in time_zone.
DROP FUNCTION IF EXISTS downlead.margins_by_season(), downlead.minutes_by_fault(timestamptz, timestamptz), downlead.restock(timestamptz, timestamptz),
  downlead.fix_figures(timestamptz, timestamptz, integer, timestamptz), downlead.judge_visits(timestamptz, timestamptz, integer, timestamptz),
  downlead.wilson(bigint, bigint);
DROP VIEW IF EXISTS downlead.stays, downlead.latest, downlead.addresses, downlead.remarks, downlead.people, downlead.work_codes, downlead.drives, downlead.times,
  downlead.sightings, downlead.materials, downlead.repairs, downlead.claims, downlead.checks_done, downlead.readings, downlead.visits, downlead.jobs, downlead_data.latest_job;

CREATE VIEW downlead_data.latest_job AS
  SELECT j.job_id, j.journal_id, coalesce(nullif(j.technician, ''), n.technician) AS technician, j.job, j.last_entry, j.entry_hash, j.opened, j.closed, j.began, j.ended,
    j.time_zone, j.site_token, j.address, j.complaint, j.lat, j.lon
  FROM downlead_data.job j JOIN downlead_data.journal n USING (journal_id) WHERE j.is_latest;
COMMENT ON VIEW downlead_data.latest_job IS 'The newest version of every job, with whose it is.';

CREATE VIEW downlead.jobs AS
  SELECT j.journal_id, j.technician, j.job, j.last_entry, j.opened, j.closed, j.began, j.ended, j.time_zone, j.site_token, v.outcome, v.is_complete, v.visits, j.job_id
  FROM downlead_data.latest_job j
  JOIN LATERAL (
    SELECT count(*) OVER () AS visits, x.outcome, x.is_complete FROM downlead_data.visit x WHERE x.job_id = j.job_id ORDER BY x.visit_no DESC LIMIT 1) v ON true
  WHERE j.job <> ''; -- a job that goes on under another number has no visit
COMMENT ON VIEW downlead.jobs IS 'Jobs as they stand now, one a row. Keyed by journal_id and job: two journals may have the same job number.';

CREATE VIEW downlead.visits AS
  SELECT j.journal_id, j.technician, j.job, v.visit_no, v.began, v.began_local, v.ended, v.ended_local, v.time_zone, v.is_open, v.outcome, v.is_complete,
    v.site_token, v.all_checks, v.receivers_tested, v.floor_dbm, v.threshold, v.weather, v.temperature_f,
    v.travel_s, v.on_site_s, v.breaks_s, v.report_to_clear_s, v.arrive_to_clear_s, v.active_repair_s, v.job_id
  FROM downlead_data.visit v JOIN downlead_data.latest_job j USING (job_id) WHERE v.is_latest;
COMMENT ON VIEW downlead.visits IS 'Visits, one a row. A job that was gone to again has several. Durations are seconds, NULL where a mark is missing.';

CREATE VIEW downlead.readings AS
  SELECT j.journal_id, j.technician, j.job, r.visit_no, r.entry_no, r.taken, r.taken_local, j.time_zone, r.path_id, r.element, r.element_no, r.side, r.port, r.verdict,
    r.level_dbm, r.level_margin_db, r.strength, r.strength_margin, r.mer_db, r.volts, r.no_signal, r.slot, r.transponder, r.polarity, r.repairs_before, r.is_proof
  FROM downlead_data.reading r JOIN downlead_data.latest_job j USING (job_id);
COMMENT ON VIEW downlead.readings IS 'Meter readings that count, one a row. is_proof: the last behind its receiver, with no repair after it.';

CREATE VIEW downlead.checks_done AS
  SELECT j.journal_id, j.technician, j.job, k.visit_no, k.entry_no, k.logged_at, j.time_zone, k.check_name, k.verdict, k.is_current
  FROM downlead_data.checked k JOIN downlead_data.latest_job j USING (job_id);
COMMENT ON VIEW downlead.checks_done IS 'Results of checks, one a row. is_current: the last of its name and point.';

CREATE VIEW downlead.claims AS
  SELECT j.journal_id, j.technician, j.job, c.visit_no, c.claim_code, c.subject, c.entries
  FROM downlead_data.claim c JOIN downlead_data.latest_job j USING (job_id);
COMMENT ON VIEW downlead.claims IS 'What the record says of a visit, with the numbers of the entries it rests on: repair_proven, repair_improved, repair_no_change, repair_unproven, missing.';

CREATE VIEW downlead.repairs AS
  SELECT j.journal_id, j.technician, j.job, r.visit_no, r.entry_no, r.done, j.time_zone, r.act, r.element, r.element_no, r.quantity, r.length_ft, r.proof, r.gain_db
  FROM downlead_data.repair r JOIN downlead_data.latest_job j USING (job_id);
COMMENT ON VIEW downlead.repairs IS 'Changes made to the path, one a row. proof: proven, improved, no_change, unproven.';

CREATE VIEW downlead.sightings AS
  SELECT j.journal_id, j.technician, j.job, o.visit_no, o.entry_no, o.logged_at, j.time_zone, o.told_as, o.finding, o.element, o.element_no, o.comes_with
  FROM downlead_data.observed o JOIN downlead_data.latest_job j USING (job_id);
COMMENT ON VIEW downlead.sightings IS 'What was seen of the parts (told_as sighting: wet, corroded, loose …), and what the people of the house noticed (symptom: freezing, dropouts …), one a row.';

CREATE VIEW downlead.materials AS
  SELECT j.journal_id, j.technician, j.job, m.visit_no, m.logged_at, j.time_zone, m.item, m.quantity, m.length_ft
  FROM downlead_data.material m JOIN downlead_data.latest_job j USING (job_id);
COMMENT ON VIEW downlead.materials IS 'Parts used, one row each time they were said; cable by length, all else by quantity.';

CREATE VIEW downlead.times AS
  SELECT j.journal_id, j.technician, j.job, m.visit_no, m.entry_no, m.mark, m.logged_at, m.logged_local, m.time_zone, m.origin
  FROM downlead_data.mark m JOIN downlead_data.latest_job j USING (job_id);
COMMENT ON VIEW downlead.times IS 'Time marks, one a row. The job is empty for time without a job.';

CREATE VIEW downlead.drives AS
  SELECT j.journal_id, j.technician, j.job, d.visit_no, d.entry_no, d.logged_at, j.time_zone, d.miles
  FROM downlead_data.drive d JOIN downlead_data.latest_job j USING (job_id);
COMMENT ON VIEW downlead.drives IS 'Miles driven, one a row.';

CREATE VIEW downlead.work_codes AS
  SELECT j.journal_id, j.technician, j.job, k.visit_no, k.entry_no, k.logged_at, j.time_zone, k.code, k.units
  FROM downlead_data.work_code k JOIN downlead_data.latest_job j USING (job_id);
COMMENT ON VIEW downlead.work_codes IS 'Work codes for pay, one a row.';

CREATE VIEW downlead.people AS
  SELECT n.journal_id, n.technician, n.time_zone, n.is_redacted, n.stored_to, n.stored_at,
    count(j.job_id) AS jobs, min(j.began) AS first_began, max(j.ended) AS last_ended
  FROM downlead_data.journal n LEFT JOIN downlead_data.latest_job j ON j.journal_id = n.journal_id AND j.job <> ''
  GROUP BY n.journal_id;
COMMENT ON VIEW downlead.people IS 'Journals and whose they are, one a row, with how far each is stored.';

CREATE VIEW downlead.addresses AS
  SELECT j.journal_id, j.technician, j.job, j.site_token, j.address, j.lat, j.lon, j.complaint FROM downlead_data.latest_job j WHERE j.job <> '';
COMMENT ON VIEW downlead.addresses IS 'Where the jobs were. Not for the role downlead_analyst.';

CREATE VIEW downlead.remarks AS
  SELECT j.journal_id, j.technician, j.job, k.visit_no, k.entry_no, k.check_name AS subject, k.remark AS wording
  FROM downlead_data.checked k JOIN downlead_data.latest_job j USING (job_id) WHERE k.remark <> ''
  UNION ALL
  SELECT j.journal_id, j.technician, j.job, o.visit_no, o.entry_no, o.finding, o.wording
  FROM downlead_data.observed o JOIN downlead_data.latest_job j USING (job_id) WHERE o.wording <> ''
  UNION ALL
  SELECT j.journal_id, j.technician, j.job, c.visit_no, NULL, c.subject, c.wording
  FROM downlead_data.claim c JOIN downlead_data.latest_job j USING (job_id) WHERE c.wording <> '';
COMMENT ON VIEW downlead.remarks IS 'Free words of checks, sightings and claims. Not for the role downlead_analyst.';

CREATE VIEW downlead.latest AS
  SELECT j.journal_id, j.technician, j.job, v.visit_no, j.last_entry, j.entry_hash, v.closeout_json
  FROM downlead_data.visit v JOIN downlead_data.latest_job j USING (job_id) WHERE v.is_latest;
COMMENT ON VIEW downlead.latest IS 'The newest closeout of every visit, by the chain, as a JSON document. Not for the role downlead_analyst.';

CREATE VIEW downlead.stays AS
  SELECT v.job_id, j.journal_id, j.job, v.visit_no, v.began, v.ended, v.time_zone, v.is_open, v.outcome, v.site_token
  FROM downlead_data.visit v JOIN downlead_data.job j USING (job_id) WHERE v.is_latest;
COMMENT ON VIEW downlead.stays IS 'When which site was visited: what judge_visits looks colleagues up in, by the index of sites.';

CREATE FUNCTION downlead.wilson(hits bigint, cases bigint, OUT low double precision, OUT high double precision)
LANGUAGE sql IMMUTABLE AS $$
  SELECT CASE WHEN cases = 0 THEN 0 ELSE greatest(0, (p + z*z/(2*n) - z*sqrt(p*(1-p)/n + z*z/(4*n*n))) / (1 + z*z/n)) END,
         CASE WHEN cases = 0 THEN 1 ELSE least(1, (p + z*z/(2*n) + z*sqrt(p*(1-p)/n + z*z/(4*n*n))) / (1 + z*z/n)) END
  FROM (SELECT 1.959963984540054::double precision AS z, greatest(cases, 1)::double precision AS n, hits::double precision / greatest(cases, 1) AS p) x
$$;
COMMENT ON FUNCTION downlead.wilson IS 'The 95 % score interval of a proportion (Wilson 1927).';

CREATE FUNCTION downlead.judge_visits(since timestamptz, before timestamptz, days integer DEFAULT 30, judged timestamptz DEFAULT now())
RETURNS TABLE (journal_id uuid, technician text, job text, visit_no integer, began timestamptz, outcome text,
  first_fix text, undone_journal uuid, undone_job text, undone_visit integer, is_repeat boolean, site_token text)
LANGUAGE sql STABLE AS $$
  SELECT v.journal_id, v.technician, v.job, v.visit_no, v.began, v.outcome,
    CASE
      WHEN v.outcome = 'no_access' THEN 'left_out'
      WHEN v.site_token IS NULL THEN 'left_out'
      WHEN judged < u.stands THEN 'pending'
      WHEN w.job IS NOT NULL THEN 'no'
      WHEN v.outcome <> 'fixed' THEN 'no'
      WHEN o.waits THEN 'pending'
      ELSE 'yes'
    END,
    CASE WHEN judged >= u.stands THEN w.journal_id END, CASE WHEN judged >= u.stands THEN w.job END, CASE WHEN judged >= u.stands THEN w.visit_no END,
    v.outcome <> 'no_access' AND v.site_token IS NOT NULL AND coalesce(v.began < e.stands, false), v.site_token
  FROM downlead.visits v
  CROSS JOIN LATERAL (SELECT CASE WHEN v.time_zone = '' THEN v.ended + days * interval '24 hours'
    ELSE (v.ended AT TIME ZONE v.time_zone + days * interval '1 day') AT TIME ZONE v.time_zone END AS stands) u
  LEFT JOIN LATERAL (
    SELECT x.journal_id, x.job, x.visit_no FROM downlead.stays x
    WHERE x.site_token = v.site_token AND x.began >= v.ended AND x.began < u.stands AND NOT x.is_open AND v.outcome <> 'no_access'
      AND x.outcome NOT IN ('no_access', 'no_fault_found') AND (x.job_id, x.visit_no) <> (v.job_id, v.visit_no)
    ORDER BY x.began, x.job, x.visit_no LIMIT 1) w ON true
  LEFT JOIN LATERAL (
    SELECT true AS waits FROM downlead.stays x
    WHERE x.site_token = v.site_token AND x.began >= v.ended AND x.began < u.stands AND x.is_open
      AND x.outcome NOT IN ('no_access', 'no_fault_found') AND (x.job_id, x.visit_no) <> (v.job_id, v.visit_no) LIMIT 1) o ON true
  LEFT JOIN LATERAL (
    SELECT CASE WHEN x.time_zone = '' THEN x.ended + days * interval '24 hours'
      ELSE (x.ended AT TIME ZONE x.time_zone + days * interval '1 day') AT TIME ZONE x.time_zone END AS stands FROM downlead.stays x
    WHERE x.site_token = v.site_token AND x.began < v.began AND NOT x.is_open AND x.outcome <> 'no_access' AND x.ended <= v.began
    ORDER BY x.began DESC, x.visit_no DESC LIMIT 1) e ON true
  WHERE v.began >= since AND v.began < before AND NOT v.is_open
$$;
COMMENT ON FUNCTION downlead.judge_visits IS 'Every closed visit begun in [since, before): whether what it fixed held for so many days, and whether it was itself a repeat, whoever of the team came. first_fix: yes, no, pending, left_out.';

CREATE FUNCTION downlead.fix_figures(since timestamptz, before timestamptz, days integer DEFAULT 30, judged timestamptz DEFAULT now())
RETURNS TABLE (technician text, figure text, hits bigint, cases bigint, pending bigint, left_out bigint, low double precision, high double precision)
LANGUAGE sql STABLE AS $$
  WITH v AS (SELECT * FROM downlead.judge_visits(since, before, days, judged)),
  f AS (
    SELECT v.technician, 'first_time_fix' AS figure, count(*) FILTER (WHERE first_fix = 'yes') AS hits, count(*) FILTER (WHERE first_fix IN ('yes', 'no')) AS cases,
      count(*) FILTER (WHERE first_fix = 'pending') AS pending, count(*) FILTER (WHERE first_fix = 'left_out') AS left_out
    FROM v GROUP BY ROLLUP (v.technician)
    UNION ALL
    SELECT v.technician, 'repeat', count(*) FILTER (WHERE is_repeat), count(*) FILTER (WHERE outcome <> 'no_access' AND v.site_token IS NOT NULL), 0,
      count(*) FILTER (WHERE outcome = 'no_access' OR v.site_token IS NULL)
    FROM v GROUP BY ROLLUP (v.technician)
  )
  SELECT f.technician, f.figure, f.hits, f.cases, f.pending, f.left_out, w.low, w.high FROM f, downlead.wilson(f.hits, f.cases) w ORDER BY f.figure, f.technician NULLS LAST
$$;
COMMENT ON FUNCTION downlead.fix_figures IS 'First-time fix and repeats by technician, and over all (technician NULL), with a 95 % interval.';

CREATE FUNCTION downlead.restock(since timestamptz, before timestamptz)
RETURNS TABLE (technician text, item text, quantity bigint, length_ft numeric)
LANGUAGE sql STABLE AS $$
  SELECT m.technician, m.item, sum(m.quantity), sum(m.length_ft) FROM downlead.materials m
  WHERE m.logged_at >= since AND m.logged_at < before GROUP BY m.technician, m.item ORDER BY m.technician, m.item
$$;
COMMENT ON FUNCTION downlead.restock IS 'What each technician used up in [since, before), to be put back in the van.';

CREATE FUNCTION downlead.minutes_by_fault(since timestamptz, before timestamptz)
RETURNS TABLE (element text, act text, visits bigint, median_arrive_to_clear double precision, median_active_repair double precision)
LANGUAGE sql STABLE AS $$
  SELECT r.element, r.act, count(*), percentile_cont(0.5) WITHIN GROUP (ORDER BY v.arrive_to_clear_s / 60.0), percentile_cont(0.5) WITHIN GROUP (ORDER BY v.active_repair_s / 60.0)
  FROM (SELECT DISTINCT journal_id, job, visit_no, element, act FROM downlead.repairs WHERE proof = 'proven') r
  JOIN downlead.visits v USING (journal_id, job, visit_no)
  WHERE v.began >= since AND v.began < before AND v.outcome = 'fixed'
  GROUP BY r.element, r.act ORDER BY count(*) DESC, r.element, r.act
$$;
COMMENT ON FUNCTION downlead.minutes_by_fault IS 'Minutes from arrival to the proof, and of active repair, by what was proved to be at fault: medians over visits that fixed it.';

CREATE FUNCTION downlead.margins_by_season()
RETURNS TABLE (season text, receivers bigint, mean_margin_db numeric, lowest_margin_db numeric, below_floor bigint)
LANGUAGE sql STABLE AS $$
  SELECT (ARRAY['winter', 'spring', 'summer', 'autumn'])[1 + (extract(month FROM r.taken_local)::int % 12) / 3], count(*),
    round(avg(r.level_margin_db), 2), min(r.level_margin_db), count(*) FILTER (WHERE r.level_margin_db < 0)
  FROM downlead.readings r WHERE r.is_proof GROUP BY 1 ORDER BY 1
$$;
COMMENT ON FUNCTION downlead.margins_by_season IS 'Margins over the floor at which receivers were left, by season of the northern half (December to February is winter).';

-- A column of one name means one thing, wherever it stands.
DO $$
DECLARE
  c record;
BEGIN
  FOR c IN SELECT a.attrelid::regclass AS relation, a.attname, w.words FROM (VALUES
    ('act', 'What was done to the part: replaced, re_terminated, tightened, re_aimed, removed, added, rerouted …'),
    ('active_repair_s', 'Seconds from the first reading to the proof, less breaks.'),
    ('address', 'The address as said.'),
    ('all_checks', 'Every closing check has a result.'),
    ('arrive_to_clear_s', 'Seconds from the arrival to the reading that proves the fix.'),
    ('began', 'First time in it.'),
    ('began_local', 'The same by the wall clock there.'),
    ('breaks_s', 'Seconds of breaks.'),
    ('bytes', 'Random bytes.'),
    ('check_name', 'Which check: outlet, input_test, dish, mount, cabling, components, grounding, education …'),
    ('claim_code', 'What is claimed.'),
    ('closed', 'When the job was closed; NULL while it is open.'),
    ('closeout_json', 'The closeout as it stood when the visit ended (form downlead/closeout/1).'),
    ('code', 'Work code for pay.'),
    ('complaint', 'What the customer complained of.'),
    ('done', 'When it was done.'),
    ('finding', 'The condition of the part, or the symptom.'),
    ('told_as', 'sighting or symptom.'),
    ('comes_with', 'What a symptom comes with: rain, wind, heat, cold, night, afternoon.'),
    ('element', 'Kind of part: dish, lnb, cable, ground_block …'),
    ('element_no', 'Which one, where the job has several.'),
    ('ended', 'Last time in it.'),
    ('ended_local', 'The same by the wall clock there.'),
    ('entries', 'Numbers, in its journal, of the entries that the claim rests on.'),
    ('entry_hash', 'SHA-256 of the chain at the last entry, hex.'),
    ('entry_no', 'Number of the entry in its journal.'),
    ('first_began', 'First time in any job.'),
    ('floor_dbm', 'Level below which a reading fails, dBm.'),
    ('gain_db', 'Level after the repair less level before it, dB.'),
    ('head_hash', 'SHA-256 of the chain at entry stored_to, hex.'),
    ('is_complete', 'Nothing was missing.'),
    ('is_current', 'The last result of its name and point.'),
    ('is_latest', 'No later entry of the job is stored.'),
    ('is_open', 'The last visit of a job that is not closed.'),
    ('is_proof', 'The last reading behind its receiver, with no repair after it.'),
    ('is_redacted', 'Stored without names, addresses and free words.'),
    ('item', 'What was used.'),
    ('job', 'The job''s number; only with journal_id is it one job. Empty for time without a job.'),
    ('job_id', 'Number of the version of the job.'),
    ('jobs', 'How many jobs are stored.'),
    ('journal_id', 'The journal''s own random UUID.'),
    ('last_ended', 'Last time in any job.'),
    ('last_entry', 'Number, in its journal, of the job''s last entry: its version.'),
    ('lat', 'Degrees, north positive.'),
    ('length_ft', 'Length in feet, of cable.'),
    ('lesson_json', 'What the odds are learned from.'),
    ('level_dbm', 'Power at the point, dBm.'),
    ('level_margin_db', 'How far the level is above the floor, dB; negative is a fail.'),
    ('logged_at', 'When it was logged.'),
    ('logged_local', 'The same by the wall clock there.'),
    ('lon', 'Degrees, east positive.'),
    ('mark', 'Which mark: en_route, arrived, break_start, break_end, no_access, departed …'),
    ('mer_db', 'Modulation error ratio, dB.'),
    ('miles', 'Miles driven.'),
    ('no_signal', 'The meter showed no signal.'),
    ('on_site_s', 'Seconds on site, breaks included.'),
    ('opened', 'When the job was started.'),
    ('origin', 'Where the time came from: clock, given, recording, edited.'),
    ('outcome', 'How it ended: fixed, not_fixed, no_fault_found, no_access, open …'),
    ('path_id', 'The part''s name on the job''s path.'),
    ('polarity', 'odd or even, as said.'),
    ('port', 'Which output of the part.'),
    ('product', 'Version of the program that stored last.'),
    ('proof', 'What shows that it helped: proven, improved, no_change, unproven.'),
    ('quantity', 'How many.'),
    ('receivers_tested', 'There was a reading behind every receiver of the path; NULL without a receiver.'),
    ('remark', 'The remark to the check.'),
    ('repairs_before', 'Repairs logged in the job before this reading.'),
    ('report_to_clear_s', 'Seconds from the fault report to the reading that proves the fix.'),
    ('room', 'The room as said.'),
    ('side', 'dish or receiver: which side of the part.'),
    ('site_token', 'Stands for the address: equal for two ways of writing one, and cannot be turned back.'),
    ('slot', 'Orbital slot, degrees west as said.'),
    ('stored_at', 'When it was stored.'),
    ('stored_to', 'Every job whose last entry has this number or a smaller one is stored.'),
    ('strength', 'The meter''s figure, 0 to 100.'),
    ('strength_margin', 'How far the strength is above its threshold.'),
    ('subject', 'What the claim or remark is about.'),
    ('taken', 'When the reading was taken.'),
    ('taken_local', 'The same by the wall clock there.'),
    ('technician', 'Name of the technician.'),
    ('temperature_f', 'Degrees Fahrenheit as said.'),
    ('threshold', 'Strength below which a reading fails.'),
    ('time_zone', 'IANA name of the zone of the wall clock; empty when only the offset was known.'),
    ('transponder', 'Transponder as said.'),
    ('travel_s', 'Seconds on the road.'),
    ('units', 'How many units of the code.'),
    ('verdict', 'pass, fail or na.'),
    ('visit_no', 'Which visit to the job, from 1; 0 for time without a job.'),
    ('visits', 'How many visits the job has.'),
    ('volts', 'Supply at the point, V.'),
    ('weather', 'dry, rain, snow, ice, wind, lightning, as said.'),
    ('wording', 'The claim or remark in words.'),
    ('work_json', 'What pay reads.')) w (called, words)
    JOIN pg_attribute a ON a.attname = w.called JOIN pg_class r ON r.oid = a.attrelid JOIN pg_namespace n ON n.oid = r.relnamespace
    WHERE n.nspname IN ('downlead', 'downlead_data') AND r.relkind IN ('r', 'v') AND r.relname NOT LIKE 'version%'
  LOOP
    EXECUTE format('COMMENT ON COLUMN %s.%I IS %L', c.relation, c.attname, c.words);
  END LOOP;
END $$;

-- One role that reads what names no place and quotes nobody.
DO $$
BEGIN
  IF NOT EXISTS (SELECT FROM pg_roles WHERE rolname = 'downlead_analyst') THEN
    CREATE ROLE downlead_analyst NOLOGIN;
  END IF;
EXCEPTION WHEN insufficient_privilege OR duplicate_object OR unique_violation THEN
  NULL; -- the program says that the role is missing
END $$;
DO $$
DECLARE
  v text;
BEGIN
  IF EXISTS (SELECT FROM pg_roles WHERE rolname = 'downlead_analyst') THEN
    GRANT USAGE ON SCHEMA downlead TO downlead_analyst;
    FOREACH v IN ARRAY ARRAY['jobs', 'visits', 'readings', 'checks_done', 'sightings', 'claims', 'repairs', 'materials', 'times', 'drives', 'work_codes', 'people', 'stays'] LOOP
      EXECUTE format('GRANT SELECT ON downlead.%I TO downlead_analyst', v);
    END LOOP;
  END IF;
END $$;
