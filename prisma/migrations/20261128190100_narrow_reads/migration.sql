-- What pages count over a whole fleet, in narrow indexes: rows of standings are wide, and reading all of them to count a few
-- columns took most of the time of the ranked list at 20,000 sites.
CREATE INDEX standing_narrow ON standing (account_id, site_id) INCLUDE (site_revision, urgency, leading_cause, portfolio, name);
CREATE INDEX site_revisions ON site (account_id, site_id) INCLUDE (revision, portfolio);
