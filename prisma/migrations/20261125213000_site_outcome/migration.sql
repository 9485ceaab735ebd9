-- What confirmed visits found, beside what was stated before them: the little that other sites of the same installer or
-- hardware batch need. Made anew whenever the site is scored.
CREATE TABLE site_outcome (
  account_id integer NOT NULL,
  site_id    text NOT NULL,
  place      smallint NOT NULL,
  at         timestamptz NOT NULL,
  found      text[] NOT NULL,
  looked_for text[] NOT NULL,
  stated     jsonb NOT NULL,
  PRIMARY KEY (account_id, site_id, place),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);

ALTER TABLE site_outcome ENABLE ROW LEVEL SECURITY;
ALTER TABLE site_outcome FORCE ROW LEVEL SECURITY;
CREATE POLICY own_account ON site_outcome USING (account_id = current_account()) WITH CHECK (account_id = current_account());

GRANT SELECT, INSERT, UPDATE, DELETE ON site_outcome TO raintrip_app;
