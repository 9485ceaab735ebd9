-- What each person set for themselves: the units in which they read distances, depths of water, temperatures and wind.
CREATE TABLE person_setting (
  account_id integer NOT NULL,
  person_id  text NOT NULL,
  units      text NOT NULL CHECK (units IN ('metric', 'us')),
  PRIMARY KEY (account_id, person_id),
  FOREIGN KEY (account_id, person_id) REFERENCES person ON DELETE CASCADE
);
ALTER TABLE person_setting ENABLE ROW LEVEL SECURITY;
ALTER TABLE person_setting FORCE ROW LEVEL SECURITY;
CREATE POLICY own_account ON person_setting USING (account_id = current_account()) WITH CHECK (account_id = current_account());
CREATE POLICY sign_in ON person_setting FOR SELECT USING ((SELECT acting_role()) = 'sign_in');
-- One's own row only, whatever the role; an owner of sites writes nothing else.
CREATE POLICY own_scope ON person_setting AS RESTRICTIVE
  USING ((SELECT acting_role()) IN ('system', 'sign_in') OR person_id = current_setting('raintrip.person', true));
GRANT SELECT, INSERT, UPDATE ON person_setting TO raintrip_app;
