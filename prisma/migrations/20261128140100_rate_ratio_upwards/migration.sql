-- The ranked list by rate ratio from the lowest up: sites without one come last both ways, so neither index read backwards is the other.
CREATE INDEX IF NOT EXISTS standing_rate_ratio_up ON standing (account_id, rate_ratio, site_id);
