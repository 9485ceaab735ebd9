-- The visit that a standing proposes, by its id: one visit is looked up without opening the proposals of the whole fleet, and
-- a page of the queue is read in its order.
ALTER TABLE standing ADD COLUMN visit_id text;
-- Row security binds the owner too, and no account is set here.
ALTER TABLE standing NO FORCE ROW LEVEL SECURITY;
UPDATE standing SET visit_id = proposal->'visit'->>'visit_id';
ALTER TABLE standing FORCE ROW LEVEL SECURITY;
CREATE INDEX standing_visit ON standing (account_id, visit_id);
CREATE INDEX standing_place ON standing (account_id, rank) WHERE rank IS NOT NULL;
-- Emergencies under way, those of a page's sites and those that wait longest.
CREATE INDEX make_safe_under_way ON make_safe (account_id, opened_at) WHERE closed_at IS NULL;
