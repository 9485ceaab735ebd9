-- Versions of the parameter table. A version holds every row that differs from the program's own defaults, so it can be
-- read by itself; version n has parent p, and going back is a further version. Rows are never changed or deleted.
CREATE TABLE parameter_version (
  account_id  integer NOT NULL REFERENCES account,
  version     integer NOT NULL CHECK (version > 0),
  -- The version it was made from; null: the program's defaults.
  parent      integer,
  -- The version that a roll back restores; 0: the program's defaults.
  restores    integer,
  -- edited | learned | rolled_back
  kind        text NOT NULL CHECK (kind IN ('edited', 'learned', 'rolled_back')),
  reason      text NOT NULL CHECK (reason <> ''),
  person      text NOT NULL,
  created_at  timestamptz NOT NULL DEFAULT now(),
  -- Version of the defaults that lie under it when it was made.
  defaults    text NOT NULL,
  -- key -> {value, spread, provenance}
  overrides   jsonb NOT NULL,
  PRIMARY KEY (account_id, version),
  FOREIGN KEY (account_id, parent) REFERENCES parameter_version
);

-- A person's word that the fault detector works as before a repair: records alone cannot tell. Newest counts.
CREATE TABLE detector_word (
  account_id   integer NOT NULL,
  site_id      text NOT NULL,
  repaired_at  timestamptz NOT NULL,
  cause        text NOT NULL,
  unchanged    boolean NOT NULL,
  person       text NOT NULL,
  said_at      timestamptz NOT NULL DEFAULT now(),
  PRIMARY KEY (account_id, site_id, repaired_at, cause),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);

DO $$
DECLARE t text;
BEGIN
  FOREACH t IN ARRAY ARRAY['parameter_version', 'detector_word']
  LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', t);
    EXECUTE format('CREATE POLICY own_account ON %I USING (account_id = current_account()) WITH CHECK (account_id = current_account())', t);
  END LOOP;
END $$;

GRANT SELECT, INSERT ON parameter_version TO raintrip_app;
GRANT SELECT, INSERT, UPDATE, DELETE ON detector_word TO raintrip_app;
