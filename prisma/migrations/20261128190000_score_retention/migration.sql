-- How pressing a site was by each score: where it changed, the score is kept for good. Null: scored by an earlier release.
ALTER TABLE score ADD COLUMN urgency text;
-- Counts up whenever scores or ranks of the account moved: what an open page asks for to know that it is old.
ALTER TABLE scoring_state ADD COLUMN moves bigint NOT NULL DEFAULT 0;
-- Old scores, of which few are kept.
CREATE INDEX score_computed ON score (account_id, computed_at);
