-- What was asked of a visit that somebody wrote something for, as it stood when the visit was first scored again.
CREATE TABLE visit_checklist (
  account_id integer NOT NULL,
  visit_id   text NOT NULL,
  site_id    text NOT NULL,
  as_of      timestamptz NOT NULL,
  visit      jsonb NOT NULL,
  PRIMARY KEY (account_id, visit_id),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);
ALTER TABLE visit_checklist ENABLE ROW LEVEL SECURITY;
ALTER TABLE visit_checklist FORCE ROW LEVEL SECURITY;
CREATE POLICY own_account ON visit_checklist USING (account_id = current_account()) WITH CHECK (account_id = current_account());
GRANT SELECT, INSERT ON visit_checklist TO raintrip_app;
