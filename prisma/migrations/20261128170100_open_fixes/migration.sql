-- How many repairs of a site are not known to have held, so that the list of them opens the details of these sites only.
ALTER TABLE site_detail ADD COLUMN open_fixes integer NOT NULL DEFAULT 0;
-- Row security binds the owner too, and no account is set here.
ALTER TABLE site_detail NO FORCE ROW LEVEL SECURITY;
UPDATE site_detail SET open_fixes = jsonb_array_length(jsonb_path_query_array(detail, '$.fixes[*] ? (@.state != "held")'))
  WHERE detail @? '$.fixes[*] ? (@.state != "held")';
ALTER TABLE site_detail FORCE ROW LEVEL SECURITY;
CREATE INDEX site_detail_open_fixes ON site_detail (account_id, site_id) WHERE open_fixes > 0;
