-- Distributions of loss: asked for, being drawn, done. What a run found stays, so that a trend can be shown.
CREATE TABLE loss_run (
  account_id        integer NOT NULL REFERENCES account,
  run_id            text NOT NULL,
  kind              text NOT NULL CHECK (kind IN ('books', 'what_if')),
  -- What is asked, for a what-if.
  asked             jsonb NOT NULL DEFAULT '{}',
  status            text NOT NULL DEFAULT 'waiting' CHECK (status IN ('waiting', 'running', 'done', 'failed', 'cancelled')),
  requested_by      text NOT NULL,
  requested_at      timestamptz NOT NULL DEFAULT clock_timestamp(),
  finished_at       timestamptz,
  done              integer NOT NULL DEFAULT 0,
  total             integer NOT NULL DEFAULT 0,
  -- Digest of the scores and of the code: another one means that the result is stale.
  input_hash        text NOT NULL,
  as_of             timestamptz,
  parameter_version text,
  code_version      text,
  seed              text,
  result            jsonb,
  says              text,
  PRIMARY KEY (account_id, run_id)
);
CREATE INDEX loss_run_newest ON loss_run (account_id, kind, requested_at DESC);

-- Each site in the newest finished run.
CREATE TABLE loss_site (
  account_id    integer NOT NULL,
  run_id        text NOT NULL,
  site_id       text NOT NULL,
  book          text NOT NULL,
  gross         double precision NOT NULL,
  recovered     double precision NOT NULL,
  net           double precision NOT NULL,
  net_low       double precision NOT NULL,
  net_high      double precision NOT NULL,
  part_of_book  double precision NOT NULL,
  part_of_whole double precision NOT NULL,
  detail        jsonb NOT NULL,
  PRIMARY KEY (account_id, run_id, site_id),
  FOREIGN KEY (account_id, run_id) REFERENCES loss_run ON DELETE CASCADE,
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);
CREATE INDEX loss_site_book ON loss_site (account_id, run_id, book, part_of_book DESC);

DO $$
DECLARE t text;
BEGIN
  FOREACH t IN ARRAY ARRAY['loss_run', 'loss_site']
  LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', t);
    EXECUTE format('CREATE POLICY own_account ON %I USING (account_id = current_account()) WITH CHECK (account_id = current_account())', t);
  END LOOP;
END $$;

GRANT SELECT, INSERT, UPDATE, DELETE ON loss_run, loss_site TO raintrip_app;
