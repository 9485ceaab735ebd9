-- A plan that somebody asked the worker for: what was asked, how far it is, the best so far, and the plan.
CREATE TABLE plan_run (
  account_id   integer NOT NULL REFERENCES account,
  run_id       text NOT NULL,
  requested_by text NOT NULL,
  requested_at timestamptz NOT NULL DEFAULT clock_timestamp(),
  -- {from, days, seed, effort}
  query        jsonb NOT NULL,
  status       text NOT NULL DEFAULT 'waiting' CHECK (status IN ('waiting', 'running', 'done', 'cancelled', 'failed')),
  started_at   timestamptz,
  finished_at  timestamptz,
  -- Value of the best plan so far and the lowest bound, account currency; null: none yet.
  objective    double precision,
  bound        double precision,
  -- The plan as the API gives it; for a cancelled run the best so far.
  plan         jsonb,
  -- Sites whose roof work no forecast covers.
  blind        jsonb NOT NULL DEFAULT '[]',
  says         text,
  PRIMARY KEY (account_id, run_id)
);
CREATE INDEX plan_run_newest ON plan_run (account_id, requested_at DESC);

ALTER TABLE plan_run ENABLE ROW LEVEL SECURITY;
ALTER TABLE plan_run FORCE ROW LEVEL SECURITY;
CREATE POLICY own_account ON plan_run USING (account_id = current_account()) WITH CHECK (account_id = current_account());
GRANT SELECT, INSERT, UPDATE, DELETE ON plan_run TO raintrip_app;
