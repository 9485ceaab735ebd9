-- Films of water on an array, computed once per station (with the stations that stand in for its missing hours) and
-- month. input is a fingerprint of the weather and of the water before the month: a row whose input no longer fits is
-- computed anew, so this table can be emptied at any time and nothing is lost.
CREATE TABLE film_month (
  account_id integer NOT NULL,
  station_id text NOT NULL,
  helpers    text NOT NULL,
  month      date NOT NULL,
  input      text NOT NULL,
  rain       bytea NOT NULL,
  dew        bytea NOT NULL,
  signs      bytea NOT NULL,
  end_water  double precision[] NOT NULL,
  PRIMARY KEY (account_id, station_id, helpers, month),
  FOREIGN KEY (account_id, station_id) REFERENCES station ON DELETE CASCADE
);

ALTER TABLE film_month ENABLE ROW LEVEL SECURITY;
ALTER TABLE film_month FORCE ROW LEVEL SECURITY;
CREATE POLICY own_account ON film_month USING (account_id = current_account()) WITH CHECK (account_id = current_account());

GRANT SELECT, INSERT, UPDATE, DELETE ON film_month TO raintrip_app;
