-- How far each station was asked for at the weather service, so that a run goes on where the last one ended.
CREATE TABLE weather_feed_station (
  account_id    integer NOT NULL,
  station_id    text NOT NULL,
  -- Hour since the epoch; null: never asked.
  asked_through integer,
  -- Days that may still change: [{day, at, etag?, lastModified?}].
  days          jsonb NOT NULL DEFAULT '[]',
  asked_at      timestamptz,
  -- Newest hour that the service reported.
  last_hour     integer,
  error         text,
  PRIMARY KEY (account_id, station_id),
  FOREIGN KEY (account_id, station_id) REFERENCES station ON DELETE CASCADE
);

-- One row a run; the newest says what the feed does now.
CREATE TABLE weather_feed_run (
  account_id     integer NOT NULL REFERENCES account,
  run_id         text NOT NULL,
  requested_by   text NOT NULL,
  requested_at   timestamptz NOT NULL DEFAULT clock_timestamp(),
  status         text NOT NULL DEFAULT 'waiting' CHECK (status IN ('waiting', 'running', 'done', 'cancelled', 'failed')),
  finished_at    timestamptz,
  -- The service asked for quiet until then; no run starts before.
  quiet_until    timestamptz,
  stations_total integer NOT NULL DEFAULT 0,
  stations_done  integer NOT NULL DEFAULT 0,
  requests       integer NOT NULL DEFAULT 0,
  hours_changed  integer NOT NULL DEFAULT 0,
  says           text,
  PRIMARY KEY (account_id, run_id)
);
CREATE INDEX weather_feed_run_newest ON weather_feed_run (account_id, requested_at DESC);

-- Newest hourly forecast at a site.
CREATE TABLE site_forecast (
  account_id integer NOT NULL,
  site_id    text NOT NULL,
  -- The service's name of the place.
  cell       text NOT NULL,
  asked_at   timestamptz NOT NULL,
  validators jsonb NOT NULL,
  forecast   jsonb NOT NULL,
  PRIMARY KEY (account_id, site_id),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);

DO $$
DECLARE t text;
BEGIN
  FOREACH t IN ARRAY ARRAY['weather_feed_station', 'weather_feed_run', 'site_forecast']
  LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', t);
    EXECUTE format('CREATE POLICY own_account ON %I USING (account_id = current_account()) WITH CHECK (account_id = current_account())', t);
  END LOOP;
END $$;

GRANT SELECT, INSERT, UPDATE, DELETE ON weather_feed_station, weather_feed_run, site_forecast TO raintrip_app;
