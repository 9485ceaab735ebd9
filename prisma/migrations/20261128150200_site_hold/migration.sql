-- A site that somebody set by until a day, with the reason. An emergency cannot be held.
CREATE TABLE site_hold (
  account_id integer NOT NULL,
  site_id    text NOT NULL,
  held_until date NOT NULL,
  reason     text NOT NULL CHECK (length(reason) BETWEEN 3 AND 500),
  held_by    text NOT NULL,
  held_at    timestamptz NOT NULL DEFAULT clock_timestamp(),
  PRIMARY KEY (account_id, site_id),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);
ALTER TABLE site_hold ENABLE ROW LEVEL SECURITY;
ALTER TABLE site_hold FORCE ROW LEVEL SECURITY;
CREATE POLICY own_account ON site_hold USING (account_id = current_account()) WITH CHECK (account_id = current_account());
GRANT SELECT, INSERT, UPDATE, DELETE ON site_hold TO raintrip_app;

-- How a person keeps their pages: columns of a list, filters by name.
CREATE TABLE list_setting (
  account_id integer NOT NULL,
  person_id  text NOT NULL,
  name       text NOT NULL,
  value      jsonb NOT NULL,
  PRIMARY KEY (account_id, person_id, name),
  FOREIGN KEY (account_id, person_id) REFERENCES person ON DELETE CASCADE
);
ALTER TABLE list_setting ENABLE ROW LEVEL SECURITY;
ALTER TABLE list_setting FORCE ROW LEVEL SECURITY;
CREATE POLICY own_account ON list_setting USING (account_id = current_account()) WITH CHECK (account_id = current_account());
-- One's own rows only, whatever the role.
CREATE POLICY own_scope ON list_setting AS RESTRICTIVE
  USING ((SELECT acting_role()) = 'system' OR person_id = current_setting('raintrip.person', true));
GRANT SELECT, INSERT, UPDATE, DELETE ON list_setting TO raintrip_app;
