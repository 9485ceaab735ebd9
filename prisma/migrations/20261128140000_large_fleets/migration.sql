-- What lets pages and workers stay quick with tens of thousands of sites.

-- Revision of the site that its standing was computed from: a site whose records changed since is found by a comparison,
-- and is scored before all that is stale for other reasons. Null: scored by an earlier release.
ALTER TABLE standing ADD COLUMN site_revision bigint;

-- How many scores waited when a worker last looked. Counting them takes all that a score depends on, which is too much for a
-- page that only says how many there are.
CREATE TABLE scoring_state (
  account_id integer PRIMARY KEY,
  stale      integer NOT NULL,
  counted_at timestamptz NOT NULL DEFAULT now()
);
ALTER TABLE scoring_state ENABLE ROW LEVEL SECURITY;
ALTER TABLE scoring_state FORCE ROW LEVEL SECURITY;
CREATE POLICY own_account ON scoring_state USING (account_id = current_account()) WITH CHECK (account_id = current_account());
GRANT SELECT, INSERT, UPDATE, DELETE ON scoring_state TO raintrip_app;

-- Each order of the ranked list, so that a page is read in order and not sorted out of the whole fleet.
CREATE INDEX standing_energized ON standing (account_id, energized_p DESC, site_id);
CREATE INDEX standing_inspected ON standing (account_id, last_inspected NULLS FIRST, site_id);
CREATE INDEX standing_rate_ratio ON standing (account_id, rate_ratio DESC NULLS LAST, site_id);
CREATE INDEX standing_urgency ON standing (account_id, urgency);

-- Scores are kept for good: the newest of a site before an instant, and its history.
CREATE INDEX score_of_site ON score (account_id, site_id, as_of DESC, computed_at DESC);
