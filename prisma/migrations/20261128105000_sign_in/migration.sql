-- People sign in, and each sees only what is theirs. What the application may see is decided here, by row security, from
-- the settings of the transaction: account, person, role, portfolios, crew. A missing setting means no rows, never all.

-- Settings of the transaction ----------------------------------------------------------------------------

CREATE FUNCTION acting_role() RETURNS text LANGUAGE sql STABLE AS $$
  SELECT coalesce(current_setting('raintrip.role', true), '')
$$;
-- Books of sites that the actor is held to, as a JSON array; empty: to none.
CREATE FUNCTION acting_portfolios() RETURNS text[] LANGUAGE sql STABLE AS $$
  SELECT CASE WHEN coalesce(current_setting('raintrip.portfolios', true), '') = '' THEN '{}'::text[]
    ELSE ARRAY(SELECT jsonb_array_elements_text(current_setting('raintrip.portfolios', true)::jsonb)) END
$$;
-- The one site that a shared link shows.
CREATE FUNCTION acting_site() RETURNS text LANGUAGE sql STABLE AS $$
  SELECT CASE WHEN current_setting('raintrip.role', true) = 'link' THEN nullif(current_setting('raintrip.site', true), '') END
$$;
CREATE FUNCTION sees_every_site() RETURNS boolean LANGUAGE sql STABLE AS $$
  SELECT acting_role() IN ('administrator', 'manager', 'dispatcher', 'system')
    OR (acting_role() = 'token' AND coalesce(current_setting('raintrip.portfolios', true), '') = '')
$$;
CREATE FUNCTION may_write() RETURNS boolean LANGUAGE sql STABLE AS $$
  SELECT acting_role() IN ('administrator', 'manager', 'dispatcher', 'technician', 'token', 'system')
$$;

-- Who may see what of the records ------------------------------------------------------------------------
-- plpgsql, so that each is run (under row security itself) and never written out into the policy of the table it reads.

-- Sites with a visit of the technician's crew.
CREATE FUNCTION crew_sites() RETURNS text[] LANGUAGE plpgsql STABLE AS $$
BEGIN
  IF acting_role() <> 'technician' OR coalesce(current_setting('raintrip.crew', true), '') = '' THEN RETURN '{}'; END IF;
  RETURN ARRAY(SELECT DISTINCT site_id FROM visit
    WHERE account_id = current_account() AND crew_id = current_setting('raintrip.crew', true));
END $$;
-- Sites in the books of an owner, or of a token that is held to books; what a shared link shows: one book, or one site.
CREATE FUNCTION portfolio_sites() RETURNS text[] LANGUAGE plpgsql STABLE AS $$
BEGIN
  IF acting_role() NOT IN ('owner', 'token', 'link') THEN RETURN '{}'; END IF;
  RETURN ARRAY(SELECT site_id FROM site WHERE account_id = current_account()
    AND (portfolio = ANY (acting_portfolios()) OR site_id = acting_site()));
END $$;
CREATE FUNCTION sites_in_scope() RETURNS text[] LANGUAGE plpgsql STABLE AS $$
BEGIN
  IF acting_role() = 'technician' THEN RETURN crew_sites(); END IF;
  RETURN portfolio_sites();
END $$;

-- Restrictive policies: they narrow what own_account lets through. Each scalar subquery runs once a statement.

CREATE POLICY own_scope ON site AS RESTRICTIVE
  USING ((SELECT sees_every_site())
    OR ((SELECT acting_role()) IN ('owner', 'token', 'link') AND portfolio = ANY ((SELECT acting_portfolios())::text[]))
    OR site_id = (SELECT acting_site())
    OR site_id = ANY ((SELECT crew_sites())::text[]))
  WITH CHECK ((SELECT may_write()) AND ((SELECT sees_every_site())
    OR ((SELECT acting_role()) IN ('owner', 'token', 'link') AND portfolio = ANY ((SELECT acting_portfolios())::text[]))
    OR site_id = (SELECT acting_site())
    OR site_id = ANY ((SELECT crew_sites())::text[])));
CREATE POLICY no_delete ON site AS RESTRICTIVE FOR DELETE USING ((SELECT may_write()));

CREATE POLICY own_scope ON visit AS RESTRICTIVE
  USING ((SELECT sees_every_site())
    OR ((SELECT acting_role()) = 'technician' AND crew_id = current_setting('raintrip.crew', true))
    OR site_id = ANY ((SELECT portfolio_sites())::text[]))
  -- No visit of one's own crew at a site where it has none: that would open the site.
  WITH CHECK ((SELECT may_write()) AND ((SELECT sees_every_site())
    OR ((SELECT acting_role()) = 'technician' AND crew_id = current_setting('raintrip.crew', true)
      AND site_id = ANY ((SELECT crew_sites())::text[]))
    OR site_id = ANY ((SELECT portfolio_sites())::text[])));
CREATE POLICY no_delete ON visit AS RESTRICTIVE FOR DELETE USING ((SELECT may_write()));

-- Hold a table with a column site_id to the sites of the actor. A later migration that makes such a table calls it too;
-- a test names the tables for which nobody did.
CREATE FUNCTION scope_by_site(p_table text) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
  EXECUTE format('CREATE POLICY own_scope ON %I AS RESTRICTIVE
    USING ((SELECT sees_every_site()) OR site_id = ANY ((SELECT sites_in_scope())::text[]))
    WITH CHECK ((SELECT may_write()) AND ((SELECT sees_every_site()) OR site_id = ANY ((SELECT sites_in_scope())::text[])))', p_table);
  EXECUTE format('CREATE POLICY no_delete ON %I AS RESTRICTIVE FOR DELETE USING ((SELECT may_write()))', p_table);
END $$;
REVOKE ALL ON FUNCTION scope_by_site(text) FROM PUBLIC;

-- The same for a table without sites: everybody of the account reads, an owner of sites writes nothing.
CREATE FUNCTION scope_writes(p_table text) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
  EXECUTE format('CREATE POLICY own_scope ON %I AS RESTRICTIVE USING (true) WITH CHECK ((SELECT may_write()))', p_table);
  EXECUTE format('CREATE POLICY no_delete ON %I AS RESTRICTIVE FOR DELETE USING ((SELECT may_write()))', p_table);
END $$;
REVOKE ALL ON FUNCTION scope_writes(text) FROM PUBLIC;

-- For those who see the whole account only.
CREATE FUNCTION scope_by_account(p_table text) RETURNS void LANGUAGE plpgsql AS $$
BEGIN
  EXECUTE format('CREATE POLICY own_scope ON %I AS RESTRICTIVE USING ((SELECT sees_every_site()))', p_table);
END $$;
REVOKE ALL ON FUNCTION scope_by_account(text) FROM PUBLIC;

-- Hold every table that nobody held yet. Run after each migration, so that a new table is bound before anybody can read it:
-- by its sites where it names them; otherwise it is for those who see the whole account. A table that is for everybody of
-- the account says so in its migration: SELECT scope_writes('its_name').
CREATE FUNCTION settle_scopes() RETURNS void LANGUAGE plpgsql AS $$
DECLARE t record;
BEGIN
  FOR t IN
    SELECT c.relname AS name, EXISTS (SELECT 1 FROM pg_attribute s
      WHERE s.attrelid = c.oid AND s.attname = 'site_id' AND NOT s.attisdropped) AS has_site
    FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid AND a.attname = 'account_id' AND NOT a.attisdropped
    WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p') AND NOT c.relispartition
      AND c.relname NOT IN ('account', 'person_link', 'api_token') AND c.relname NOT LIKE 'sign\_in\_%'
      AND NOT EXISTS (SELECT 1 FROM pg_policy p WHERE p.polrelid = c.oid AND p.polname = 'own_scope')
    ORDER BY 1
  LOOP
    IF t.has_site THEN PERFORM scope_by_site(t.name); ELSE PERFORM scope_by_account(t.name); END IF;
  END LOOP;
END $$;
REVOKE ALL ON FUNCTION settle_scopes() FROM PUBLIC;

DO $$
DECLARE t text;
BEGIN
  FOREACH t IN ARRAY ARRAY['account_rate', 'code_meaning', 'station', 'weather_month', 'film_month', 'crew',
    'data_horizon', 'parameter_version', 'clock_source', 'clock_correction', 'weather_feed_station', 'weather_feed_run']
  LOOP
    PERFORM scope_writes(t);
  END LOOP;
END $$;
CREATE POLICY no_update ON account AS RESTRICTIVE FOR UPDATE USING ((SELECT may_write()));

CREATE POLICY own_scope ON portfolio AS RESTRICTIVE
  USING ((SELECT sees_every_site()) OR ((SELECT acting_role()) IN ('owner', 'token', 'link') AND portfolio = ANY ((SELECT acting_portfolios())::text[])))
  WITH CHECK ((SELECT may_write()));
CREATE POLICY no_delete ON portfolio AS RESTRICTIVE FOR DELETE USING ((SELECT may_write()));

CREATE POLICY own_scope ON outbox_alert AS RESTRICTIVE
  USING ((SELECT sees_every_site()) OR detail ->> 'siteId' = ANY ((SELECT sites_in_scope())::text[]))
  WITH CHECK ((SELECT may_write()));

-- Who reads the audit log. It is written through audit_append alone, which must see its own last entry whoever acts.
CREATE POLICY own_scope ON audit_entry AS RESTRICTIVE
  USING ((SELECT acting_role()) IN ('administrator', 'manager', 'system') OR current_setting('raintrip.auditing', true) = 'yes');
CREATE OR REPLACE FUNCTION audit_append(p_action text, p_subject text, p_detail jsonb) RETURNS bigint
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
  v_account integer := current_setting('raintrip.account')::integer;
  v_person  text := current_setting('raintrip.person');
  v_role    text := current_setting('raintrip.role');
  v_at      timestamptz := date_trunc('milliseconds', clock_timestamp());
  v_seq     bigint;
  v_prev    bytea;
  v_hash    bytea;
BEGIN
  IF v_person = '' OR v_role = '' THEN
    RAISE EXCEPTION 'audit_append needs raintrip.person and raintrip.role to be set in the transaction';
  END IF;
  PERFORM pg_advisory_xact_lock(7206, v_account);
  PERFORM set_config('raintrip.auditing', 'yes', true);
  SELECT seq, hash INTO v_seq, v_prev FROM audit_entry WHERE account_id = v_account ORDER BY seq DESC LIMIT 1;
  v_seq := coalesce(v_seq, 0) + 1;
  v_prev := coalesce(v_prev, '\x'::bytea);
  v_hash := audit_hash(v_prev, v_account, v_seq, v_at, v_person, v_role, p_action, p_subject, p_detail);
  INSERT INTO audit_entry VALUES (v_account, v_seq, v_at, v_person, v_role, p_action, p_subject, p_detail, v_prev, v_hash);
  PERFORM set_config('raintrip.auditing', '', true);
  RETURN v_seq;
END $$;

-- People and how they prove who they are -----------------------------------------------------------------
-- `sign_in` is the role of the pool that looks up who asks, before any account is known. It reaches these tables only.

ALTER TABLE person
  -- Books that an owner is held to; null: none are needed for the role.
  ADD COLUMN portfolios  text[],
  -- Crew of a technician.
  ADD COLUMN crew_id     text,
  -- Made by the demo: anybody on this machine may act as this person.
  ADD COLUMN is_demo     boolean NOT NULL DEFAULT false,
  ADD COLUMN disabled_at timestamptz;

CREATE POLICY sign_in ON person USING ((SELECT acting_role()) = 'sign_in') WITH CHECK ((SELECT acting_role()) = 'sign_in');
CREATE POLICY own_scope ON person AS RESTRICTIVE
  USING ((SELECT acting_role()) IN ('administrator', 'system', 'sign_in') OR person_id = current_setting('raintrip.person', true))
  WITH CHECK ((SELECT acting_role()) IN ('administrator', 'system', 'sign_in'));
CREATE POLICY no_delete ON person AS RESTRICTIVE FOR DELETE USING ((SELECT acting_role()) IN ('administrator', 'system'));

-- The defaults below are of no account and no person, which the foreign keys refuse: the library that signs people in wants
-- to see that it need not fill the columns, and it never makes users.
CREATE TABLE sign_in_user (
  account_id     integer NOT NULL DEFAULT 0,
  id             text NOT NULL UNIQUE,
  person_id      text NOT NULL DEFAULT '',
  name           text NOT NULL,
  email          text NOT NULL UNIQUE,
  email_verified boolean NOT NULL DEFAULT false,
  image          text,
  created_at     timestamptz NOT NULL DEFAULT now(),
  updated_at     timestamptz NOT NULL DEFAULT now(),
  PRIMARY KEY (account_id, id),
  UNIQUE (account_id, person_id),
  FOREIGN KEY (account_id, person_id) REFERENCES person ON DELETE CASCADE
);

CREATE TABLE sign_in_session (
  account_id integer NOT NULL DEFAULT 0,
  id         text NOT NULL,
  user_id    text NOT NULL,
  token      text NOT NULL UNIQUE,
  expires_at timestamptz NOT NULL,
  ip_address text,
  user_agent text,
  created_at timestamptz NOT NULL DEFAULT now(),
  updated_at timestamptz NOT NULL DEFAULT now(),
  PRIMARY KEY (account_id, id),
  FOREIGN KEY (account_id, user_id) REFERENCES sign_in_user ON DELETE CASCADE
);
CREATE INDEX sign_in_session_user ON sign_in_session (account_id, user_id);

-- A way to prove it: a password (hashed), or the subject at an identity provider.
CREATE TABLE sign_in_proof (
  account_id               integer NOT NULL DEFAULT 0,
  id                       text NOT NULL,
  user_id                  text NOT NULL,
  provider_id              text NOT NULL,
  subject                  text NOT NULL,
  password                 text,
  access_token             text,
  refresh_token            text,
  id_token                 text,
  access_token_expires_at  timestamptz,
  refresh_token_expires_at timestamptz,
  scope                    text,
  created_at               timestamptz NOT NULL DEFAULT now(),
  updated_at               timestamptz NOT NULL DEFAULT now(),
  PRIMARY KEY (account_id, id),
  UNIQUE (provider_id, subject),
  FOREIGN KEY (account_id, user_id) REFERENCES sign_in_user ON DELETE CASCADE
);
CREATE INDEX sign_in_proof_user ON sign_in_proof (account_id, user_id);

CREATE TABLE sign_in_passkey (
  account_id    integer NOT NULL DEFAULT 0,
  id            text NOT NULL,
  user_id       text NOT NULL,
  name          text,
  public_key    text NOT NULL,
  credential_id text NOT NULL UNIQUE,
  counter       bigint NOT NULL,
  device_type   text NOT NULL,
  backed_up     boolean NOT NULL,
  transports    text,
  aaguid        text,
  created_at    timestamptz DEFAULT now(),
  PRIMARY KEY (account_id, id),
  FOREIGN KEY (account_id, user_id) REFERENCES sign_in_user ON DELETE CASCADE
);
CREATE INDEX sign_in_passkey_user ON sign_in_passkey (account_id, user_id);

-- The library that signs people in names the user only; the account is the user's.
CREATE FUNCTION sign_in_account_of_user() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  SELECT account_id INTO NEW.account_id FROM sign_in_user WHERE id = NEW.user_id;
  RETURN NEW;
END $$;
CREATE TRIGGER sign_in_session_account BEFORE INSERT ON sign_in_session FOR EACH ROW EXECUTE FUNCTION sign_in_account_of_user();
CREATE TRIGGER sign_in_proof_account BEFORE INSERT ON sign_in_proof FOR EACH ROW EXECUTE FUNCTION sign_in_account_of_user();
CREATE TRIGGER sign_in_passkey_account BEFORE INSERT ON sign_in_passkey FOR EACH ROW EXECUTE FUNCTION sign_in_account_of_user();

-- Links that let a person in once: to set up an empty installation, to accept an invitation, to choose a new password.
CREATE TABLE person_link (
  account_id integer NOT NULL,
  link_id    text NOT NULL,
  kind       text NOT NULL CHECK (kind IN ('set_up', 'invite', 'recover')),
  -- Null: the person is made when an installation is set up.
  person_id  text,
  token_hash bytea NOT NULL UNIQUE,
  made_by    text NOT NULL,
  made_at    timestamptz NOT NULL DEFAULT now(),
  expires_at timestamptz NOT NULL,
  used_at    timestamptz,
  PRIMARY KEY (account_id, link_id),
  FOREIGN KEY (account_id, person_id) REFERENCES person ON DELETE CASCADE
);

-- Tokens of programs, hashed: what is shown once is not stored.
CREATE TABLE api_token (
  account_id integer NOT NULL REFERENCES account,
  token_id   text NOT NULL,
  name       text NOT NULL CHECK (name <> ''),
  token_hash bytea NOT NULL UNIQUE,
  scopes     text[] NOT NULL,
  -- Books that it is held to; null: none.
  portfolios text[],
  made_by    text NOT NULL,
  made_at    timestamptz NOT NULL DEFAULT now(),
  expires_at timestamptz NOT NULL,
  revoked_at timestamptz,
  PRIMARY KEY (account_id, token_id)
);

-- Short-lived, and of nobody yet: challenges of passkeys and identity providers, counts of tries.
CREATE TABLE sign_in_challenge (
  id         text PRIMARY KEY,
  identifier text NOT NULL,
  value      text NOT NULL,
  expires_at timestamptz NOT NULL,
  created_at timestamptz NOT NULL DEFAULT now(),
  updated_at timestamptz NOT NULL DEFAULT now()
);
CREATE INDEX sign_in_challenge_identifier ON sign_in_challenge (identifier);
CREATE TABLE sign_in_rate (
  id           text PRIMARY KEY,
  key          text NOT NULL UNIQUE,
  count        integer NOT NULL,
  last_request double precision NOT NULL
);
-- Wrong passwords in a row, by hash of the address that was given, whether somebody has it or not.
CREATE TABLE sign_in_lock (
  email_hash   bytea PRIMARY KEY,
  failures     integer NOT NULL,
  failed_at    timestamptz NOT NULL,
  locked_until timestamptz
);

DO $$
DECLARE t text;
BEGIN
  FOREACH t IN ARRAY ARRAY['sign_in_user', 'sign_in_session', 'sign_in_proof', 'sign_in_passkey', 'person_link', 'api_token',
    'sign_in_challenge', 'sign_in_rate', 'sign_in_lock']
  LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', t);
    EXECUTE format('CREATE POLICY sign_in ON %I USING ((SELECT acting_role()) = ''sign_in'') WITH CHECK ((SELECT acting_role()) = ''sign_in'')', t);
  END LOOP;
  -- A backup reads these as the system, and hands them to a restore.
  FOREACH t IN ARRAY ARRAY['sign_in_proof', 'sign_in_passkey']
  LOOP
    EXECUTE format('CREATE POLICY own_account ON %I USING (account_id = current_account() AND (SELECT acting_role()) = ''system'')', t);
  END LOOP;
  FOREACH t IN ARRAY ARRAY['person_link', 'api_token']
  LOOP
    EXECUTE format('CREATE POLICY own_account ON %I USING (account_id = current_account() AND (SELECT acting_role()) IN (''administrator'', ''system''))', t);
  END LOOP;
  FOREACH t IN ARRAY ARRAY['sign_in_challenge', 'sign_in_rate', 'sign_in_lock']
  LOOP
    EXECUTE format('GRANT SELECT, INSERT, UPDATE, DELETE ON %I TO raintrip_app', t);
  END LOOP;
END $$;
-- Oneself, and administrators of the account.
CREATE POLICY own_account ON sign_in_user USING (account_id = current_account()
  AND ((SELECT acting_role()) IN ('administrator', 'system') OR person_id = current_setting('raintrip.person', true)));
CREATE POLICY own_account ON sign_in_session USING (account_id = current_account()
  AND ((SELECT acting_role()) IN ('administrator', 'system') OR user_id IN
    (SELECT id FROM sign_in_user u WHERE u.account_id = current_account() AND u.person_id = current_setting('raintrip.person', true))));

GRANT SELECT, INSERT, UPDATE, DELETE ON sign_in_user, sign_in_session, sign_in_proof, sign_in_passkey TO raintrip_app;
GRANT SELECT, INSERT, UPDATE ON person_link, api_token TO raintrip_app;
GRANT EXECUTE ON FUNCTION acting_role(), acting_portfolios(), acting_site(), sees_every_site(), may_write(), crew_sites(), portfolio_sites(),
  sites_in_scope() TO raintrip_app;

