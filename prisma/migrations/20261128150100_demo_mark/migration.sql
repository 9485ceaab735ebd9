-- What the demo brought: only that can be removed again by removing the demo.
CREATE TABLE demo_mark (
  account_id integer NOT NULL REFERENCES account,
  -- site | station | crew | code_system | portfolio | import
  kind       text NOT NULL CHECK (kind IN ('site', 'station', 'crew', 'code_system', 'portfolio', 'import')),
  id         text NOT NULL,
  PRIMARY KEY (account_id, kind, id)
);

ALTER TABLE demo_mark ENABLE ROW LEVEL SECURITY;
ALTER TABLE demo_mark FORCE ROW LEVEL SECURITY;
CREATE POLICY own_account ON demo_mark USING (account_id = current_account()) WITH CHECK (account_id = current_account());
GRANT SELECT, INSERT, DELETE ON demo_mark TO raintrip_app;

-- Takes away what is marked and everything that hangs on it, in this account only; also what the application itself may never
-- delete (discoveries, steps of a make_safe), for these were of invented sites. The audit log stays: it says what was done.
CREATE FUNCTION remove_demo() RETURNS jsonb LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
  acc integer := current_account();
  sites integer;
  own integer;
  held text;
BEGIN
  IF acc IS NULL OR coalesce(current_setting('raintrip.role', true), '') <> 'administrator' THEN
    RAISE EXCEPTION 'remove_demo needs an account and an administrator';
  END IF;
  DELETE FROM plan WHERE account_id = acc AND plan_id IN (
    SELECT v.plan_id FROM plan_visit v JOIN demo_mark m ON m.account_id = acc AND m.kind = 'site' AND m.id = v.site_id WHERE v.account_id = acc);
  DELETE FROM plan_run WHERE account_id = acc;
  DELETE FROM loss_run WHERE account_id = acc;
  DELETE FROM learned_proposal WHERE account_id = acc;
  DELETE FROM travel_time t USING demo_mark m WHERE t.account_id = acc AND m.account_id = acc AND m.kind IN ('site', 'crew')
    AND m.kind || ' ' || m.id IN (t.from_place, t.to_place);
  DELETE FROM outbox_alert o USING demo_mark m WHERE o.account_id = acc AND m.account_id = acc AND m.kind = 'site'
    AND (o.subject = m.id OR o.detail ->> 'site_id' = m.id OR o.detail ->> 'siteId' = m.id);
  DELETE FROM access_link a USING demo_mark m WHERE a.account_id = acc AND m.account_id = acc AND m.kind = 'site' AND a.site_id = m.id;
  DELETE FROM site s USING demo_mark m WHERE s.account_id = acc AND m.account_id = acc AND m.kind = 'site' AND s.site_id = m.id;
  GET DIAGNOSTICS sites = ROW_COUNT;
  -- Logs name their site without a foreign key, for speed.
  FOR held IN SELECT c.relname FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid AND a.attname = 'site_id' AND NOT a.attisdropped
    WHERE c.relkind IN ('r', 'p') AND NOT c.relispartition AND c.relnamespace = 'public'::regnamespace
      AND EXISTS (SELECT 1 FROM pg_attribute b WHERE b.attrelid = c.oid AND b.attname = 'account_id')
  LOOP
    EXECUTE format('DELETE FROM %I x USING demo_mark m WHERE x.account_id = $1 AND m.account_id = $1 AND m.kind = ''site'' AND x.site_id = m.id', held)
      USING acc;
  END LOOP;
  DELETE FROM station s USING demo_mark m WHERE s.account_id = acc AND m.account_id = acc AND m.kind = 'station' AND s.station_id = m.id;
  DELETE FROM calendar_feed c USING demo_mark m WHERE c.account_id = acc AND m.account_id = acc AND m.kind = 'crew' AND c.crew_id = m.id;
  DELETE FROM crew c USING demo_mark m WHERE c.account_id = acc AND m.account_id = acc AND m.kind = 'crew' AND c.crew_id = m.id;
  DELETE FROM code_meaning c USING demo_mark m WHERE c.account_id = acc AND m.account_id = acc AND m.kind = 'code_system'
    AND c.code_system = m.id AND NOT EXISTS (SELECT 1 FROM inverter i WHERE i.account_id = acc AND i.code_system = m.id);
  DELETE FROM import_drop d USING demo_mark m WHERE d.account_id = acc AND m.account_id = acc AND m.kind = 'import' AND d.import_id = m.id;
  DELETE FROM monthly_report r USING demo_mark m WHERE r.account_id = acc AND m.account_id = acc AND m.kind = 'portfolio' AND r.portfolio = m.id
    AND NOT EXISTS (SELECT 1 FROM site s WHERE s.account_id = acc AND s.portfolio = m.id);
  DELETE FROM access_link a USING demo_mark m WHERE a.account_id = acc AND m.account_id = acc AND m.kind = 'portfolio' AND a.portfolio = m.id
    AND NOT EXISTS (SELECT 1 FROM site s WHERE s.account_id = acc AND s.portfolio = m.id);
  DELETE FROM portfolio p USING demo_mark m WHERE p.account_id = acc AND m.account_id = acc AND m.kind = 'portfolio' AND p.portfolio = m.id
    AND NOT EXISTS (SELECT 1 FROM site s WHERE s.account_id = acc AND s.portfolio = m.id);
  DELETE FROM clock_correction c WHERE c.account_id = acc
    AND NOT EXISTS (SELECT 1 FROM clock_evidence e WHERE e.account_id = acc AND e.source = c.source);
  DELETE FROM clock_source c WHERE c.account_id = acc
    AND NOT EXISTS (SELECT 1 FROM clock_evidence e WHERE e.account_id = acc AND e.source = c.source);
  SELECT count(*) INTO own FROM site WHERE account_id = acc;
  IF own = 0 THEN
    -- Nothing else was ever here: what was told about the demo goes too.
    DELETE FROM outbox_alert WHERE account_id = acc;
    DELETE FROM notice_attempt WHERE account_id = acc;
    DELETE FROM notice WHERE account_id = acc;
    DELETE FROM plan WHERE account_id = acc;
  END IF;
  DELETE FROM person WHERE account_id = acc AND is_demo;
  DELETE FROM demo_mark WHERE account_id = acc;
  UPDATE data_horizon SET
    fault_at = (SELECT max(greatest(started_at, ended_at)) FROM fault WHERE account_id = acc),
    telemetry_at = (SELECT max(ended_at) FROM telemetry WHERE account_id = acc),
    weather_at = NULL
  WHERE account_id = acc;
  RETURN jsonb_build_object('sites', sites, 'own_sites', own);
END $$;
REVOKE ALL ON FUNCTION remove_demo() FROM PUBLIC;
GRANT EXECUTE ON FUNCTION remove_demo() TO raintrip_app;
