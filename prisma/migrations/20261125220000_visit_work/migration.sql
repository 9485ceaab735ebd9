-- What people wrote on their phones, as written. Rows are never changed: the state of a visit is computed from them.
CREATE TABLE visit_edit (
  account_id  integer NOT NULL,
  edit_id     uuid NOT NULL,
  visit_id    text NOT NULL,
  site_id     text NOT NULL,
  item        text NOT NULL,
  field       text NOT NULL,
  value       text NOT NULL,
  written_at  timestamptz NOT NULL,
  written_by  text NOT NULL,
  device      text NOT NULL,
  seq         integer NOT NULL,
  received_at timestamptz NOT NULL DEFAULT clock_timestamp(),
  PRIMARY KEY (account_id, edit_id),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);
CREATE INDEX visit_edit_visit ON visit_edit (account_id, visit_id);

-- Photos of visits; the bytes lie in the data folder under their SHA-256.
CREATE TABLE visit_photo (
  account_id integer NOT NULL,
  photo_id   uuid NOT NULL,
  visit_id   text NOT NULL,
  site_id    text NOT NULL,
  item       text NOT NULL,
  sha256     text NOT NULL,
  media_type text NOT NULL,
  bytes      integer NOT NULL,
  -- Null: the phone was told to leave it out.
  taken_at   timestamptz,
  latitude   double precision,
  longitude  double precision,
  PRIMARY KEY (account_id, photo_id),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);
CREATE INDEX visit_photo_visit ON visit_photo (account_id, visit_id);

-- Alerts that wait for a named person.
CREATE TABLE outbox_alert (
  account_id      integer NOT NULL REFERENCES account,
  kind            text NOT NULL,
  subject         text NOT NULL,
  detail          jsonb NOT NULL,
  raised_at       timestamptz NOT NULL DEFAULT clock_timestamp(),
  acknowledged_by text,
  acknowledged_at timestamptz,
  PRIMARY KEY (account_id, kind, subject)
);

DO $$
DECLARE t text;
BEGIN
  FOREACH t IN ARRAY ARRAY['visit_edit', 'visit_photo', 'outbox_alert']
  LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', t);
    EXECUTE format('CREATE POLICY own_account ON %I USING (account_id = current_account()) WITH CHECK (account_id = current_account())', t);
  END LOOP;
END $$;

GRANT SELECT, INSERT ON visit_edit, visit_photo TO raintrip_app;
GRANT SELECT, INSERT, UPDATE ON outbox_alert TO raintrip_app;
