-- Where sites stand, for the map of the whole list: rows of sites are wide.
CREATE INDEX site_places ON site (account_id, site_id) INCLUDE (latitude, longitude, portfolio);
