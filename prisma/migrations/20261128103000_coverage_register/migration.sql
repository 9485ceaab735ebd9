-- What belongs to warranties and policies beside their terms: papers, discoveries, notices, removed parts, links, reports.

-- Papers lie in the database, so that a backup holds them and every worker reaches them.
CREATE TABLE coverage_document (
  account_id  integer NOT NULL,
  site_id     text NOT NULL,
  document_id uuid NOT NULL,
  -- Null: it concerns the site and no contract in particular.
  coverage_id text,
  -- contract | notice | proof_of_loss | installer_licence | calibration | part_photo | other
  kind        text NOT NULL,
  file_name   text NOT NULL,
  media_type  text NOT NULL,
  bytes       integer NOT NULL,
  sha256      text NOT NULL,
  -- Page on which the terms stand.
  page        integer,
  note        text,
  added_by    text NOT NULL,
  added_at    timestamptz NOT NULL DEFAULT clock_timestamp(),
  content     bytea NOT NULL,
  PRIMARY KEY (account_id, site_id, document_id),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);

-- A person's word that something was discovered. The application cannot write the time: no discovery is back-dated.
CREATE TABLE discovery (
  account_id    integer NOT NULL,
  site_id       text NOT NULL,
  discovery_id  uuid NOT NULL,
  what          text NOT NULL,
  reason        text NOT NULL,
  discovered_by text NOT NULL,
  discovered_at timestamptz NOT NULL DEFAULT clock_timestamp(),
  -- withdrawn: it was a mistake; closed: the claim is done. Null: open.
  ended_how     text,
  ended_by      text,
  ended_at      timestamptz,
  ended_reason  text,
  PRIMARY KEY (account_id, site_id, discovery_id),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);

CREATE TABLE notice_sent (
  account_id   integer NOT NULL,
  site_id      text NOT NULL,
  notice_id    uuid NOT NULL,
  coverage_id  text NOT NULL,
  discovery_id uuid NOT NULL,
  -- notice | proof_of_loss
  kind         text NOT NULL,
  sent_on      date NOT NULL,
  sent_to      text NOT NULL,
  -- post | courier | email | portal | by_hand
  method       text NOT NULL,
  document_id  uuid NOT NULL,
  recorded_by  text NOT NULL,
  recorded_at  timestamptz NOT NULL DEFAULT clock_timestamp(),
  PRIMARY KEY (account_id, site_id, notice_id),
  FOREIGN KEY (account_id, site_id, discovery_id) REFERENCES discovery ON DELETE CASCADE,
  FOREIGN KEY (account_id, site_id, document_id) REFERENCES coverage_document ON DELETE CASCADE
);

-- Parts taken off a site, and through whose hands they went.
CREATE TABLE custody_item (
  account_id  integer NOT NULL,
  site_id     text NOT NULL,
  item_id     uuid NOT NULL,
  tag         text NOT NULL,
  what        text NOT NULL,
  place_found text NOT NULL,
  -- Photo of the part where it sat: a paper of kind part_photo. Null: none was taken, which is said wherever it counts.
  document_id uuid,
  removed_by  text NOT NULL,
  removed_at  timestamptz NOT NULL,
  recorded_by text NOT NULL,
  recorded_at timestamptz NOT NULL DEFAULT clock_timestamp(),
  PRIMARY KEY (account_id, site_id, item_id),
  UNIQUE (account_id, site_id, tag),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE,
  FOREIGN KEY (account_id, site_id, document_id) REFERENCES coverage_document
);
CREATE TABLE custody_transfer (
  account_id   integer NOT NULL,
  site_id      text NOT NULL,
  transfer_id  uuid NOT NULL,
  item_id      uuid NOT NULL,
  from_person  text NOT NULL,
  to_person    text NOT NULL,
  stored_at    text NOT NULL,
  sealed       boolean NOT NULL,
  -- Names as both wrote them when they signed.
  signed_from  text NOT NULL,
  signed_to    text NOT NULL,
  handed_at    timestamptz NOT NULL,
  recorded_by  text NOT NULL,
  recorded_at  timestamptz NOT NULL DEFAULT clock_timestamp(),
  PRIMARY KEY (account_id, site_id, transfer_id),
  FOREIGN KEY (account_id, site_id, item_id) REFERENCES custody_item ON DELETE CASCADE
);

-- Links that show something without sign-in. Only the hash of the secret is kept.
CREATE TABLE access_link (
  account_id integer NOT NULL REFERENCES account,
  link_id    uuid NOT NULL,
  -- calendar: deadlines of one book; site: evidence of one site
  kind       text NOT NULL,
  portfolio  text,
  site_id    text,
  made_for   text NOT NULL,
  secret_sha256 text NOT NULL,
  made_by    text NOT NULL,
  made_at    timestamptz NOT NULL DEFAULT clock_timestamp(),
  expires_at timestamptz,
  revoked_by text,
  revoked_at timestamptz,
  PRIMARY KEY (account_id, link_id),
  UNIQUE (account_id, secret_sha256),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE,
  CHECK ((kind = 'calendar' AND portfolio IS NOT NULL AND site_id IS NULL)
    OR (kind = 'site' AND site_id IS NOT NULL AND portfolio IS NULL AND expires_at IS NOT NULL))
);

CREATE TABLE monthly_report (
  account_id integer NOT NULL REFERENCES account,
  report_id  uuid NOT NULL,
  portfolio  text NOT NULL,
  -- YYYY-MM
  month      text NOT NULL,
  scheduled  boolean NOT NULL,
  sha256     text NOT NULL,
  pdf        bytea NOT NULL,
  made_by    text NOT NULL,
  made_at    timestamptz NOT NULL,
  PRIMARY KEY (account_id, report_id)
);
CREATE UNIQUE INDEX monthly_report_once ON monthly_report (account_id, portfolio, month) WHERE scheduled;

DO $$
DECLARE t text;
BEGIN
  FOREACH t IN ARRAY ARRAY['coverage_document', 'discovery', 'notice_sent', 'custody_item', 'custody_transfer', 'access_link', 'monthly_report']
  LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', t);
    EXECUTE format('CREATE POLICY own_account ON %I USING (account_id = current_account()) WITH CHECK (account_id = current_account())', t);
  END LOOP;
END $$;

GRANT SELECT ON coverage_document, discovery, notice_sent, custody_item, custody_transfer, access_link, monthly_report TO raintrip_app;
GRANT INSERT (account_id, site_id, document_id, coverage_id, kind, file_name, media_type, bytes, sha256, page, note, added_by, content)
  ON coverage_document TO raintrip_app;
GRANT INSERT (account_id, site_id, discovery_id, what, reason, discovered_by) ON discovery TO raintrip_app;
GRANT UPDATE (ended_how, ended_by, ended_at, ended_reason) ON discovery TO raintrip_app;
GRANT INSERT (account_id, site_id, notice_id, coverage_id, discovery_id, kind, sent_on, sent_to, method, document_id, recorded_by)
  ON notice_sent TO raintrip_app;
GRANT INSERT ON custody_item, custody_transfer, access_link, monthly_report TO raintrip_app;
GRANT UPDATE (revoked_by, revoked_at) ON access_link TO raintrip_app;
