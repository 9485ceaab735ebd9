-- Ways by road that somebody gave or a routing service said: what plans take instead of the great circle.
CREATE TABLE travel_time (
  account_id integer NOT NULL REFERENCES account,
  -- 'site ID' or 'crew ID'
  from_place text NOT NULL,
  to_place   text NOT NULL,
  -- A file's own ways come before a service's.
  source     text NOT NULL CHECK (source IN ('file', 'service')),
  minutes    double precision NOT NULL CHECK (minutes >= 0 AND minutes < 'infinity'),
  km         double precision CHECK (km >= 0 AND km < 'infinity'),
  -- Where both lay when a service was asked; a place that moved is asked for again. Null for a file.
  positions  text,
  PRIMARY KEY (account_id, from_place, to_place, source)
);

ALTER TABLE travel_time ENABLE ROW LEVEL SECURITY;
ALTER TABLE travel_time FORCE ROW LEVEL SECURITY;
CREATE POLICY own_account ON travel_time USING (account_id = current_account()) WITH CHECK (account_id = current_account());
GRANT SELECT, INSERT, UPDATE, DELETE ON travel_time TO raintrip_app;
