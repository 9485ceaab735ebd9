-- What a score was computed from, as far as the rates of onsets can be learned from it once a visit has confirmed
-- something; null where the site had no log.
ALTER TABLE score ADD COLUMN learning_basis jsonb;

-- What confirmed visits teach, computed by the worker; `learned_from` is the hash of all that it was learned from.
CREATE TABLE learned_proposal (
  account_id   integer NOT NULL,
  learned_from text NOT NULL,
  rows         jsonb NOT NULL,
  computed_at  timestamptz NOT NULL DEFAULT now(),
  PRIMARY KEY (account_id)
);

ALTER TABLE learned_proposal ENABLE ROW LEVEL SECURITY;
ALTER TABLE learned_proposal FORCE ROW LEVEL SECURITY;
CREATE POLICY own_account ON learned_proposal USING (account_id = current_account()) WITH CHECK (account_id = current_account());

GRANT SELECT, INSERT, UPDATE, DELETE ON learned_proposal TO raintrip_app;
