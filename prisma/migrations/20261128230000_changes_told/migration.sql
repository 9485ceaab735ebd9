-- Sites whose records changed since they were scored, a row a change, so that a worker finds them without comparing all sites with
-- all standings. Rows are only added, by whoever changes a site, and removed by who scored it: nobody waits for anybody.
CREATE TABLE site_change (
  account_id integer NOT NULL,
  site_id    text NOT NULL,
  revision   bigint NOT NULL,
  -- Transaction that changed it: what is not in somebody's snapshot came after it, in whatever order transactions end.
  written_in bigint NOT NULL DEFAULT pg_current_xact_id()::text::bigint,
  PRIMARY KEY (account_id, site_id, revision),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);
CREATE INDEX site_change_written ON site_change (account_id, written_in);
ALTER TABLE site_change ENABLE ROW LEVEL SECURITY;
ALTER TABLE site_change FORCE ROW LEVEL SECURITY;
CREATE POLICY own_account ON site_change USING (account_id = current_account()) WITH CHECK (account_id = current_account());
GRANT SELECT, INSERT, DELETE ON site_change TO raintrip_app;

-- A restore has no account: what it brings back is compared whole by the next round.
CREATE FUNCTION note_new_sites() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  INSERT INTO site_change (account_id, site_id, revision)
    SELECT account_id, site_id, revision FROM new_rows WHERE account_id = current_account();
  RETURN NULL;
END $$;
CREATE FUNCTION note_changed_sites() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  INSERT INTO site_change (account_id, site_id, revision)
    SELECT n.account_id, n.site_id, n.revision FROM new_rows n JOIN old_rows o USING (account_id, site_id)
    WHERE n.account_id = current_account() AND n.revision <> o.revision;
  RETURN NULL;
END $$;
CREATE TRIGGER site_made AFTER INSERT ON site REFERENCING NEW TABLE AS new_rows
  FOR EACH STATEMENT EXECUTE FUNCTION note_new_sites();
CREATE TRIGGER site_changed AFTER UPDATE ON site REFERENCING OLD TABLE AS old_rows NEW TABLE AS new_rows
  FOR EACH STATEMENT EXECUTE FUNCTION note_changed_sites();

-- The order of the queue as it stands: where a site belongs is found without counting all of them.
CREATE INDEX standing_order ON standing (account_id, urgency_order,
  coalesce(CASE WHEN visit_cost > 0 THEN -expected_loss_avoided / visit_cost ELSE 0 END, '-infinity'),
  coalesce(-expected_loss, '-infinity'), site_id COLLATE "C") WHERE rank IS NOT NULL;

-- What the score of one site depends on besides its own records, found without reading all of them.
CREATE INDEX station_latitude ON station (account_id, latitude);
CREATE INDEX site_installer ON site (account_id, installer);
CREATE INDEX section_batch ON section (account_id, hardware_batch);
