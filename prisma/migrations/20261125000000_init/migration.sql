-- First schema. Every growing table carries the account first in its key, so the same schema can later be
-- spread over several hosts by account without re-keying anything.
-- Names of columns that come from outside are those of the data contract.

-- Accounts and people ------------------------------------------------------------------------------------

CREATE TABLE account (
  account_id  integer PRIMARY KEY,
  name        text NOT NULL,
  currency    char(3) NOT NULL DEFAULT 'USD',
  created_at  timestamptz NOT NULL DEFAULT now()
);

-- What one unit of a foreign currency is worth in the account's. A currency without a row has no rate.
CREATE TABLE account_rate (
  account_id  integer NOT NULL REFERENCES account,
  currency    char(3) NOT NULL,
  rate        double precision NOT NULL CHECK (rate > 0),
  PRIMARY KEY (account_id, currency)
);

CREATE TABLE person (
  account_id  integer NOT NULL REFERENCES account,
  person_id   text NOT NULL,
  name        text NOT NULL,
  role        text NOT NULL,
  PRIMARY KEY (account_id, person_id)
);

-- Owners' books of sites: what an owner's view will be scoped to.
CREATE TABLE portfolio (
  account_id  integer NOT NULL REFERENCES account,
  portfolio   text NOT NULL,
  PRIMARY KEY (account_id, portfolio)
);

-- Records of the contract --------------------------------------------------------------------------------

CREATE TABLE site (
  account_id               integer NOT NULL REFERENCES account,
  site_id                  text NOT NULL,
  name                     text NOT NULL,
  portfolio                text NOT NULL,
  latitude                 double precision NOT NULL,
  longitude                double precision NOT NULL,
  time_zone                text NOT NULL,
  dc_kw                    double precision NOT NULL,
  ac_kw                    double precision NOT NULL,
  commissioned_on          date,
  mounting                 text,
  access                   text,
  installer                text,
  nec_edition              text,
  energy_price_per_kwh     double precision,
  electrode                text,
  electrode_length_ft      double precision,
  separate_array_electrode text,
  gec_awg                  text,
  gec_material             text,
  service_conductor_awg    text,
  ac_voltage_v             double precision,
  battery                  text,
  near_coast               text,
  station_id               text,
  annual_kwh               double precision,
  insured_value            double precision,
  currency                 char(3),
  contact_name             text,
  contact_phone            text,
  emergency_phone          text,
  access_from              text,
  access_to                text,
  access_note              text,
  permit_authority         text,
  roof_pitch_deg           double precision,
  -- Raised by every write that touches a record of the site: what a score was computed from.
  revision                 bigint NOT NULL DEFAULT 1,
  PRIMARY KEY (account_id, site_id),
  FOREIGN KEY (account_id, portfolio) REFERENCES portfolio
);
CREATE INDEX site_portfolio ON site (account_id, portfolio, site_id);

CREATE TABLE inverter (
  account_id            integer NOT NULL,
  site_id               text NOT NULL,
  inverter_id           text NOT NULL,
  ac_kw                 double precision NOT NULL,
  topology              text,
  ac_ocpd_a             double precision,
  egc_awg               text,
  egc_material          text,
  code_system           text,
  commissioned_on       date,
  serial                text,
  firmware              text,
  detector              text,
  trip_ma               double precision,
  insulation_limit_kohm double precision,
  max_dc_v              double precision,
  dc_grounding          text,
  reset                 text,
  electronics           text,
  log_source            text,
  PRIMARY KEY (account_id, site_id, inverter_id),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);

CREATE TABLE section (
  account_id       integer NOT NULL,
  site_id          text NOT NULL,
  section_id       text NOT NULL,
  inverter_id      text NOT NULL,
  dc_kw            double precision,
  azimuth_deg      double precision,
  tilt_deg         double precision,
  parallel_strings integer,
  module_isc_a     double precision,
  -- Amperes as text, or 'none'.
  ocpd_a           text,
  combiner_id      text,
  egc_awg          text,
  egc_material     text,
  bond_method      text,
  hardware_listed  text,
  hardware_batch   text,
  bonded_to        text,
  PRIMARY KEY (account_id, site_id, section_id),
  FOREIGN KEY (account_id, site_id, inverter_id) REFERENCES inverter ON DELETE CASCADE
);

CREATE TABLE code_meaning (
  account_id  integer NOT NULL REFERENCES account,
  code_system text NOT NULL,
  code        text NOT NULL,
  event       text NOT NULL,
  detector    text,
  PRIMARY KEY (account_id, code_system, code)
);

CREATE TABLE fault (
  account_id  integer NOT NULL,
  site_id     text NOT NULL,
  inverter_id text NOT NULL,
  started_at  timestamptz NOT NULL,
  code        text NOT NULL,
  ended_at    timestamptz,
  code_system text,
  message     text,
  reset_at    timestamptz,
  reset_by    text,
  ticket_id   text,
  closed_as   text,
  PRIMARY KEY (account_id, site_id, inverter_id, started_at, code)
) PARTITION BY RANGE (started_at);

CREATE TABLE telemetry (
  account_id  integer NOT NULL,
  site_id     text NOT NULL,
  inverter_id text NOT NULL,
  started_at  timestamptz NOT NULL,
  ended_at    timestamptz NOT NULL,
  state       text NOT NULL,
  PRIMARY KEY (account_id, site_id, inverter_id, started_at)
);

CREATE TABLE reading (
  account_id          integer NOT NULL,
  site_id             text NOT NULL,
  inverter_id         text NOT NULL,
  observed_at         timestamptz NOT NULL,
  insulation_kohm     double precision,
  residual_current_ma double precision,
  dc_voltage_v        double precision,
  ac_power_kw         double precision,
  PRIMARY KEY (account_id, site_id, inverter_id, observed_at)
);

CREATE TABLE station (
  account_id  integer NOT NULL REFERENCES account,
  station_id  text NOT NULL,
  name        text,
  latitude    double precision,
  longitude   double precision,
  elevation_m double precision,
  time_zone   text,
  aliases     text,
  -- Raised by every write to the station or its weather.
  version     bigint NOT NULL DEFAULT 1,
  PRIMARY KEY (account_id, station_id)
);

-- One row a station and UTC month; each element is packed little-endian int16 (thunder int8), one value an hour,
-- hour 1 of the month first. Storing weather by station and packed keeps 20,000 sites from multiplying it.
CREATE TABLE weather_month (
  account_id    integer NOT NULL,
  station_id    text NOT NULL,
  month         date NOT NULL,
  precipitation bytea NOT NULL,
  temperature   bytea NOT NULL,
  dew_point     bytea NOT NULL,
  humidity      bytea NOT NULL,
  wind          bytea NOT NULL,
  thunder       bytea NOT NULL,
  PRIMARY KEY (account_id, station_id, month),
  FOREIGN KEY (account_id, station_id) REFERENCES station ON DELETE CASCADE
);

CREATE TABLE inspection (
  account_id        integer NOT NULL,
  site_id           text NOT NULL,
  inspected_at      timestamptz NOT NULL,
  -- The record named a day only; inspected_at is then local noon of it.
  inspected_day_only boolean NOT NULL,
  "check"           text NOT NULL,
  section_id        text NOT NULL DEFAULT '',
  inverter_id       text NOT NULL DEFAULT '',
  point_a           text NOT NULL DEFAULT '',
  point_b           text NOT NULL DEFAULT '',
  quantity          text NOT NULL DEFAULT '',
  method            text NOT NULL DEFAULT '',
  outcome           text NOT NULL,
  value             text,
  unit              text,
  meter_impedance   text,
  test_voltage_v    double precision,
  surface           text,
  system_state      text,
  instrument_serial text,
  calibrated_on     date,
  inspector         text,
  inspector_licence text,
  photo             text,
  note              text,
  PRIMARY KEY (account_id, site_id, inspected_at, inspected_day_only, "check", section_id, inverter_id,
               point_a, point_b, quantity, method),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);

CREATE TABLE repair (
  account_id       integer NOT NULL,
  site_id          text NOT NULL,
  repaired_at      timestamptz NOT NULL,
  repaired_day_only boolean NOT NULL,
  cause            text NOT NULL,
  section_id       text,
  inverter_id      text,
  action           text,
  confirmed        text,
  tested_after     text,
  PRIMARY KEY (account_id, site_id, repaired_at, repaired_day_only, cause),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);

CREATE TABLE visit (
  account_id    integer NOT NULL,
  site_id       text NOT NULL,
  visit_id      text NOT NULL,
  promised_from timestamptz,
  promised_to   timestamptz,
  crew_id       text,
  status        text,
  note          text,
  PRIMARY KEY (account_id, visit_id),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);
CREATE INDEX visit_site ON visit (account_id, site_id);

CREATE TABLE crew (
  account_id       integer NOT NULL REFERENCES account,
  crew_id          text NOT NULL,
  name             text NOT NULL,
  base_latitude    double precision NOT NULL,
  base_longitude   double precision NOT NULL,
  shift_start      text NOT NULL,
  shift_end        text NOT NULL,
  skills           text,
  people           integer,
  qualified_people integer,
  hourly_cost      double precision,
  cost_per_km      double precision,
  work_days        text,
  time_zone        text NOT NULL,
  PRIMARY KEY (account_id, crew_id)
);

CREATE TABLE coverage (
  account_id        integer NOT NULL,
  site_id           text NOT NULL,
  coverage_id       text NOT NULL,
  kind              text NOT NULL,
  provider          text,
  starts_on         date NOT NULL,
  ends_on           date NOT NULL,
  limit_amount      double precision,
  deductible_amount double precision,
  notice_days       integer,
  notice_to         text,
  policy_number     text,
  currency          char(3),
  limit_basis       text,
  "trigger"         text,
  proof_of_loss_days integer,
  suit_limit_months integer,
  excludes          text,
  conditions        text,
  PRIMARY KEY (account_id, coverage_id),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);
CREATE INDEX coverage_site ON coverage (account_id, site_id);

-- What imports leave behind ------------------------------------------------------------------------------

CREATE TABLE import_drop (
  account_id   integer NOT NULL REFERENCES account,
  import_id    text NOT NULL,
  name         text NOT NULL,
  -- waiting | running | done | failed | cancelled
  status       text NOT NULL DEFAULT 'waiting',
  requested_by text NOT NULL,
  requested_at timestamptz NOT NULL DEFAULT now(),
  started_at   timestamptz,
  finished_at  timestamptz,
  options      jsonb NOT NULL DEFAULT '{}',
  error        text,
  PRIMARY KEY (account_id, import_id)
);
CREATE INDEX import_drop_recent ON import_drop (account_id, requested_at DESC);

CREATE TABLE import_file (
  account_id  integer NOT NULL,
  import_id   text NOT NULL,
  position    integer NOT NULL,
  file        text NOT NULL,
  kind        text,
  -- waiting | reading | merging | done | failed
  status      text NOT NULL DEFAULT 'waiting',
  bytes_total bigint,
  bytes_read  bigint NOT NULL DEFAULT 0,
  rows        bigint NOT NULL DEFAULT 0,
  accepted    bigint NOT NULL DEFAULT 0,
  unchanged   bigint NOT NULL DEFAULT 0,
  set_aside   bigint NOT NULL DEFAULT 0,
  notes       jsonb NOT NULL DEFAULT '[]',
  header      jsonb,
  PRIMARY KEY (account_id, import_id, position),
  FOREIGN KEY (account_id, import_id) REFERENCES import_drop ON DELETE CASCADE
);

CREATE TABLE set_aside_row (
  account_id integer NOT NULL,
  import_id  text NOT NULL,
  position   integer NOT NULL,
  line       bigint NOT NULL,
  "column"   text NOT NULL,
  value      text NOT NULL,
  reason     text NOT NULL,
  cells      jsonb NOT NULL,
  PRIMARY KEY (account_id, import_id, position, line),
  FOREIGN KEY (account_id, import_id, position) REFERENCES import_file ON DELETE CASCADE
);

-- First and last row that any log holds of an inverter: the fallback for when it reported.
CREATE TABLE inverter_log (
  account_id  integer NOT NULL,
  site_id     text NOT NULL,
  inverter_id text NOT NULL,
  first_row   timestamptz NOT NULL,
  last_row    timestamptz NOT NULL,
  PRIMARY KEY (account_id, site_id, inverter_id)
);

-- How far the imported records reach; the default instant of a score.
CREATE TABLE data_horizon (
  account_id integer PRIMARY KEY REFERENCES account,
  fault_at     timestamptz,
  telemetry_at timestamptz,
  weather_at   timestamptz
);

-- Scores -------------------------------------------------------------------------------------------------

-- Every score ever computed, with what it was computed from; old ones stay.
CREATE TABLE score (
  account_id        integer NOT NULL,
  site_id           text NOT NULL,
  input_hash        text NOT NULL,
  computed_at       timestamptz NOT NULL DEFAULT now(),
  as_of             timestamptz NOT NULL,
  site_revision     bigint NOT NULL,
  station_id        text,
  station_version   bigint,
  parameter_version text NOT NULL,
  code_version      text NOT NULL,
  bonding_p         double precision NOT NULL,
  bonding_low       double precision NOT NULL,
  bonding_high      double precision NOT NULL,
  energized_p       double precision NOT NULL,
  result            jsonb NOT NULL,
  PRIMARY KEY (account_id, site_id, input_hash),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);

-- One row a site: its newest score and what the ranked list shows, kept small and indexed for paging.
CREATE TABLE standing (
  account_id      integer NOT NULL,
  site_id         text NOT NULL,
  input_hash      text NOT NULL,
  as_of           timestamptz NOT NULL,
  name            text NOT NULL,
  portfolio       text NOT NULL,
  bonding_p       double precision NOT NULL,
  bonding_low     double precision NOT NULL,
  bonding_high    double precision NOT NULL,
  energized_p     double precision NOT NULL,
  energized_low   double precision NOT NULL,
  energized_high  double precision NOT NULL,
  leading_cause   text NOT NULL,
  leading_p       double precision NOT NULL,
  driver          text NOT NULL,
  rate_ratio      double precision,
  p_value         double precision,
  q_value         double precision,
  wet_episodes    integer NOT NULL,
  dry_episodes    integer NOT NULL,
  last_inspected  timestamptz,
  -- make_safe | urgent | planned | watch
  urgency         text NOT NULL,
  urgency_order   smallint NOT NULL,
  rank            integer,
  expected_loss   double precision,
  expected_loss_avoided double precision,
  visit_cost      double precision,
  proposal        jsonb NOT NULL,
  strip           jsonb NOT NULL,
  PRIMARY KEY (account_id, site_id),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);
CREATE INDEX standing_rank ON standing (account_id, urgency_order, rank, site_id);
CREATE INDEX standing_probability ON standing (account_id, bonding_p DESC, site_id);
CREATE INDEX standing_name ON standing (account_id, name, site_id);

-- What the page of a site shows of its newest score beyond the contract: its episodes, station and exclusions.
CREATE TABLE site_detail (
  account_id integer NOT NULL,
  site_id    text NOT NULL,
  input_hash text NOT NULL,
  detail     jsonb NOT NULL,
  PRIMARY KEY (account_id, site_id),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);

-- Audit --------------------------------------------------------------------------------------------------

CREATE TABLE audit_entry (
  account_id    integer NOT NULL,
  seq           bigint NOT NULL,
  at            timestamptz NOT NULL,
  person        text NOT NULL,
  role          text NOT NULL,
  action        text NOT NULL,
  subject       text NOT NULL,
  detail        jsonb NOT NULL,
  previous_hash bytea NOT NULL,
  hash          bytea NOT NULL,
  PRIMARY KEY (account_id, seq)
);

-- Each entry's hash covers the previous one, so a changed or missing entry breaks every later hash.
-- Runs with the owner's rights: the application role cannot insert by itself and so cannot forge a chain.
CREATE FUNCTION audit_append(p_action text, p_subject text, p_detail jsonb) RETURNS bigint
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
  SELECT seq, hash INTO v_seq, v_prev FROM audit_entry WHERE account_id = v_account ORDER BY seq DESC LIMIT 1;
  v_seq := coalesce(v_seq, 0) + 1;
  v_prev := coalesce(v_prev, '\x'::bytea);
  v_hash := audit_hash(v_prev, v_account, v_seq, v_at, v_person, v_role, p_action, p_subject, p_detail);
  INSERT INTO audit_entry VALUES (v_account, v_seq, v_at, v_person, v_role, p_action, p_subject, p_detail, v_prev, v_hash);
  RETURN v_seq;
END $$;

CREATE FUNCTION audit_hash(p_prev bytea, p_account integer, p_seq bigint, p_at timestamptz, p_person text, p_role text,
                           p_action text, p_subject text, p_detail jsonb) RETURNS bytea
LANGUAGE sql IMMUTABLE AS $$
  SELECT sha256(p_prev || convert_to(jsonb_build_array(
    p_account, p_seq, (extract(epoch FROM p_at) * 1000)::bigint, p_person, p_role, p_action, p_subject, p_detail)::text, 'UTF8'))
$$;

CREATE FUNCTION audit_refuse() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  RAISE EXCEPTION 'the audit log is append-only';
END $$;
CREATE TRIGGER audit_entry_append_only BEFORE UPDATE OR DELETE ON audit_entry
  FOR EACH ROW EXECUTE FUNCTION audit_refuse();
CREATE TRIGGER audit_entry_no_truncate BEFORE TRUNCATE ON audit_entry
  FOR EACH STATEMENT EXECUTE FUNCTION audit_refuse();

-- Partitions of fault are made as months appear; the application role may not create tables itself.
CREATE FUNCTION ensure_fault_month(p_month date) RETURNS void
LANGUAGE plpgsql SECURITY DEFINER SET search_path = public, pg_temp AS $$
DECLARE
  v_from date := date_trunc('month', p_month)::date;
  v_to   date := (date_trunc('month', p_month) + interval '1 month')::date;
  v_name text := 'fault_' || to_char(v_from, 'YYYYMM');
BEGIN
  IF v_from < DATE '1970-01-01' OR v_from > DATE '2100-01-01' THEN
    RAISE EXCEPTION 'month outside 1970 to 2099';
  END IF;
  IF to_regclass('public.' || v_name) IS NOT NULL THEN RETURN; END IF;
  PERFORM pg_advisory_xact_lock(7207);
  IF to_regclass('public.' || v_name) IS NOT NULL THEN RETURN; END IF;
  EXECUTE format('CREATE TABLE %I PARTITION OF fault FOR VALUES FROM (%L) TO (%L)',
                 v_name, v_from::text || ' 00:00:00+00', v_to::text || ' 00:00:00+00');
END $$;

-- Which accounts there are, for the worker's rounds: bare ids, so that no row security has to be stepped around.
CREATE TABLE account_directory (id integer PRIMARY KEY);
CREATE FUNCTION account_enters_directory() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  INSERT INTO account_directory VALUES (NEW.account_id);
  RETURN NEW;
END $$;
CREATE TRIGGER account_directory_follows AFTER INSERT ON account
  FOR EACH ROW EXECUTE FUNCTION account_enters_directory();

-- Tenancy ------------------------------------------------------------------------------------------------

-- The account of the transaction; no setting means no rows, never all rows.
CREATE FUNCTION current_account() RETURNS integer LANGUAGE sql STABLE AS $$
  SELECT nullif(current_setting('raintrip.account', true), '')::integer
$$;

DO $$
DECLARE t text;
BEGIN
  FOREACH t IN ARRAY ARRAY['account', 'account_rate', 'person', 'portfolio', 'site', 'inverter', 'section', 'code_meaning', 'fault',
    'telemetry', 'reading', 'station', 'weather_month', 'inspection', 'repair', 'visit', 'crew', 'coverage',
    'import_drop', 'import_file', 'set_aside_row', 'inverter_log', 'data_horizon', 'score', 'standing', 'site_detail', 'audit_entry']
  LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', t);
    EXECUTE format('CREATE POLICY own_account ON %I USING (account_id = current_account()) WITH CHECK (account_id = current_account())', t);
  END LOOP;
END $$;

GRANT USAGE ON SCHEMA public TO raintrip_app;
GRANT SELECT, INSERT, UPDATE, DELETE ON account_rate, person, portfolio, site, inverter, section, code_meaning, fault, telemetry,
  reading, station, weather_month, inspection, repair, visit, crew, coverage, import_drop, import_file, set_aside_row,
  inverter_log, data_horizon, score, standing, site_detail TO raintrip_app;
GRANT SELECT ON account, account_directory, audit_entry TO raintrip_app;
GRANT UPDATE (name, currency) ON account TO raintrip_app;
REVOKE ALL ON FUNCTION audit_append(text, text, jsonb), ensure_fault_month(date) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION audit_append(text, text, jsonb), ensure_fault_month(date), current_account() TO raintrip_app;

-- One account and one named person until sign-in exists.
SELECT set_config('raintrip.account', '1', true);
INSERT INTO account (account_id, name) VALUES (1, 'Default account');
INSERT INTO person (account_id, person_id, name, role) VALUES (1, 'local', 'Local operator', 'administrator');
INSERT INTO data_horizon (account_id) VALUES (1);
