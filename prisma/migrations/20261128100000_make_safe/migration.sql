-- A site that was made an emergency, from the alert to the end of the watch. What happened is in its events; the row
-- itself holds only what they cannot: why it was opened, which findings it answers for, and that it is over.
CREATE TABLE make_safe (
  account_id   integer NOT NULL,
  make_safe_id text NOT NULL,
  site_id      text NOT NULL,
  opened_at    timestamptz NOT NULL DEFAULT clock_timestamp(),
  -- measurement | queue
  opened_by    text NOT NULL CHECK (opened_by IN ('measurement', 'queue')),
  reason       text NOT NULL CHECK (reason <> ''),
  -- Keys of the findings it answers for: none of them opens another one.
  covers       jsonb NOT NULL DEFAULT '[]',
  closed_at    timestamptz,
  PRIMARY KEY (account_id, make_safe_id),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);
CREATE UNIQUE INDEX make_safe_open ON make_safe (account_id, site_id) WHERE closed_at IS NULL;
CREATE INDEX make_safe_site ON make_safe (account_id, site_id);

-- Steps and words of a make_safe. Rows are never changed, and their time is the server's: nothing can be back-dated.
CREATE TABLE make_safe_event (
  account_id   integer NOT NULL,
  make_safe_id text NOT NULL,
  seq          integer NOT NULL,
  kind         text NOT NULL,
  happened_at  timestamptz NOT NULL DEFAULT clock_timestamp(),
  -- Who did it, by name; empty for what the program did.
  done_by      text NOT NULL,
  detail       jsonb NOT NULL,
  PRIMARY KEY (account_id, make_safe_id, seq),
  FOREIGN KEY (account_id, make_safe_id) REFERENCES make_safe ON DELETE CASCADE
);

-- Who answers alerts, in the order in which they are asked.
CREATE TABLE duty_person (
  account_id integer NOT NULL REFERENCES account,
  place      integer NOT NULL CHECK (place > 0),
  name       text NOT NULL CHECK (name <> ''),
  phone      text NOT NULL,
  PRIMARY KEY (account_id, place)
);

-- What an account chose where there is a choice; what is not here has the program's default.
CREATE TABLE account_setting (
  account_id integer NOT NULL REFERENCES account,
  name       text NOT NULL,
  value      text NOT NULL,
  person     text NOT NULL,
  set_at     timestamptz NOT NULL DEFAULT clock_timestamp(),
  PRIMARY KEY (account_id, name)
);

CREATE INDEX outbox_alert_raised ON outbox_alert (account_id, raised_at);
CREATE INDEX visit_edit_site ON visit_edit (account_id, site_id);
-- Who is on site: read every few seconds.
CREATE INDEX visit_edit_state ON visit_edit (account_id, written_at) WHERE item = 'visit' AND field IN ('state', 'leave_by', 'signed');
CREATE INDEX visit_photo_site ON visit_photo (account_id, site_id);

DO $$
DECLARE t text;
BEGIN
  FOREACH t IN ARRAY ARRAY['make_safe', 'make_safe_event', 'duty_person', 'account_setting']
  LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', t);
    EXECUTE format('CREATE POLICY own_account ON %I USING (account_id = current_account()) WITH CHECK (account_id = current_account())', t);
  END LOOP;
END $$;

-- Without the column of the time, which only the default fills.
GRANT SELECT, INSERT (account_id, make_safe_id, seq, kind, done_by, detail) ON make_safe_event TO raintrip_app;
GRANT SELECT, INSERT, UPDATE ON make_safe, account_setting TO raintrip_app;
GRANT SELECT, INSERT, DELETE ON duty_person TO raintrip_app;
