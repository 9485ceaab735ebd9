-- What the onsets of each log source at a site say of its clock. Log likelihoods add over sites, so a source is read by
-- summing its rows, and a site scored anew replaces only its own.
CREATE TABLE clock_evidence (
  account_id integer NOT NULL,
  site_id    text NOT NULL,
  source     text NOT NULL,
  evidence   jsonb NOT NULL,
  PRIMARY KEY (account_id, site_id, source),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);
CREATE INDEX clock_evidence_source ON clock_evidence (account_id, source);

-- How the clock of each log source is read from all of its sites, on times as corrected so far.
CREATE TABLE clock_source (
  account_id integer NOT NULL REFERENCES account,
  source     text NOT NULL,
  found      jsonb NOT NULL,
  PRIMARY KEY (account_id, source)
);

-- Corrections that a person accepted; the newest that was not withdrawn holds. Rows are never changed otherwise.
CREATE TABLE clock_correction (
  account_id   integer NOT NULL REFERENCES account,
  source       text NOT NULL,
  accepted_at  timestamptz NOT NULL DEFAULT clock_timestamp(),
  offset_hours smallint NOT NULL,
  summer_hours smallint NOT NULL,
  scan_hours   smallint[] NOT NULL,
  -- The evidence it was accepted on.
  found        jsonb NOT NULL,
  reason       text NOT NULL CHECK (reason <> ''),
  person       text NOT NULL,
  withdrawn_at timestamptz,
  withdrawn_by text,
  PRIMARY KEY (account_id, source, accepted_at)
);

-- ratio_grid: log likelihood of each rate ratio, from which the fleet pass learns; the rest is what it found.
-- ranked: whether the fleet pass has taken this row in; until then it carries the rank and q-value of the row before it.
ALTER TABLE standing
  ADD COLUMN ranked boolean NOT NULL DEFAULT false,
  ADD COLUMN ratio_grid real[],
  ADD COLUMN shrunk_log_ratio double precision,
  ADD COLUMN no_effect_p double precision,
  ADD COLUMN clock_offset_hours double precision;

CREATE INDEX standing_unranked ON standing (account_id) WHERE NOT ranked;

DO $$
DECLARE t text;
BEGIN
  FOREACH t IN ARRAY ARRAY['clock_evidence', 'clock_source', 'clock_correction']
  LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', t);
    EXECUTE format('CREATE POLICY own_account ON %I USING (account_id = current_account()) WITH CHECK (account_id = current_account())', t);
  END LOOP;
END $$;

GRANT SELECT, INSERT, UPDATE, DELETE ON clock_evidence, clock_source TO raintrip_app;
GRANT SELECT, INSERT, UPDATE ON clock_correction TO raintrip_app;
