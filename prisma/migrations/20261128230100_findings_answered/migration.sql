-- Which standing of a site the emergencies were last compared with: findings of the same one are not read again.
CREATE TABLE make_safe_look (
  account_id integer NOT NULL,
  site_id    text NOT NULL,
  input_hash text NOT NULL,
  looked_at  timestamptz NOT NULL DEFAULT clock_timestamp(),
  PRIMARY KEY (account_id, site_id),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);
ALTER TABLE make_safe_look ENABLE ROW LEVEL SECURITY;
ALTER TABLE make_safe_look FORCE ROW LEVEL SECURITY;
CREATE POLICY own_account ON make_safe_look USING (account_id = current_account()) WITH CHECK (account_id = current_account());
GRANT SELECT, INSERT, UPDATE ON make_safe_look TO raintrip_app;

CREATE INDEX standing_make_safe ON standing (account_id, site_id) INCLUDE (input_hash) WHERE urgency = 'make_safe';
-- Closed ones that answer for findings: should such a finding go and come back, it is a new one.
CREATE INDEX make_safe_answering ON make_safe (account_id, site_id) WHERE closed_at IS NOT NULL AND covers <> '[]';
