-- Leave for one visit to be made as a look at ground level while surfaces are wet: by whom, why, and how it ended.
CREATE TABLE wet_look (
  account_id   integer NOT NULL,
  site_id      text NOT NULL,
  visit_id     text NOT NULL,
  look_id      uuid NOT NULL DEFAULT gen_random_uuid(),
  -- The name that was signed with, and who was signed in.
  allowed_by   text NOT NULL,
  person       text NOT NULL,
  reason       text NOT NULL,
  allowed_at   timestamptz NOT NULL DEFAULT clock_timestamp(),
  ended_by     text,
  ended_at     timestamptz,
  ended_reason text,
  PRIMARY KEY (account_id, visit_id, look_id),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);
CREATE UNIQUE INDEX wet_look_open ON wet_look (account_id, visit_id) WHERE ended_at IS NULL;

ALTER TABLE wet_look ENABLE ROW LEVEL SECURITY;
ALTER TABLE wet_look FORCE ROW LEVEL SECURITY;
CREATE POLICY own_account ON wet_look USING (account_id = current_account()) WITH CHECK (account_id = current_account());
-- Who allowed it and when is the database's to say, and nobody's to change.
GRANT SELECT ON wet_look TO raintrip_app;
GRANT INSERT (account_id, site_id, visit_id, allowed_by, person, reason) ON wet_look TO raintrip_app;
GRANT UPDATE (ended_by, ended_at, ended_reason) ON wet_look TO raintrip_app;
