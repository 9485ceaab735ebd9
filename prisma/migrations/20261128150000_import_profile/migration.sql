-- How a file of somebody else's is read, remembered by the names of its columns: what a person said once holds the next time.
CREATE TABLE import_profile (
  account_id integer NOT NULL REFERENCES account,
  -- SHA-256 of the names of the columns, which alone may be longer than an index takes
  header_key text NOT NULL,
  name       text NOT NULL,
  header     jsonb NOT NULL,
  mapping    jsonb NOT NULL,
  made_by    text NOT NULL,
  made_at    timestamptz NOT NULL DEFAULT now(),
  PRIMARY KEY (account_id, header_key)
);

ALTER TABLE import_profile ENABLE ROW LEVEL SECURITY;
ALTER TABLE import_profile FORCE ROW LEVEL SECURITY;
CREATE POLICY own_account ON import_profile USING (account_id = current_account()) WITH CHECK (account_id = current_account());
GRANT SELECT, INSERT, UPDATE, DELETE ON import_profile TO raintrip_app;

-- The import in which a corrected row was sent in again; null: it still lies aside.
ALTER TABLE set_aside_row ADD COLUMN sent_in text;
COMMENT ON COLUMN import_drop.status IS 'asking (somebody must say how its files are read) | waiting | running | done | failed | cancelled';
