-- Plans that were made, what people changed in them and why, and what went out of the house because of them.
CREATE TABLE plan (
  account_id   integer NOT NULL REFERENCES account,
  plan_id      text NOT NULL,
  from_day     date NOT NULL,
  days         smallint NOT NULL CHECK (days BETWEEN 1 AND 14),
  seed         integer NOT NULL,
  effort       integer NOT NULL,
  state        text NOT NULL DEFAULT 'draft' CHECK (state IN ('draft', 'confirmed', 'superseded')),
  objective    double precision NOT NULL,
  -- Null: not proven, or no longer true of what people made of the plan.
  bound        double precision,
  notes        jsonb NOT NULL DEFAULT '[]',
  -- The plan that this one was made from, and the moment from which it is another.
  based_on     text,
  replan_from  timestamptz,
  -- Raised by every change: what a person saw must still be so when they change it.
  revision     integer NOT NULL DEFAULT 1,
  made_by      text NOT NULL,
  made_at      timestamptz NOT NULL DEFAULT clock_timestamp(),
  confirmed_by text,
  confirmed_at timestamptz,
  PRIMARY KEY (account_id, plan_id)
);
CREATE INDEX plan_newest ON plan (account_id, made_at DESC);

-- One crew on one of its days, also without a stop.
CREATE TABLE plan_day (
  account_id integer NOT NULL,
  plan_id    text NOT NULL,
  crew_id    text NOT NULL,
  day        date NOT NULL,
  shift_from timestamptz NOT NULL,
  shift_to   timestamptz NOT NULL,
  leave_at   timestamptz,
  return_at  timestamptz,
  return_km  double precision,
  -- The day had begun when the rest of it was planned: from when the crew can drive on.
  free_at    timestamptz,
  locked_by  text,
  -- The crew does not work on this day as recorded: a person put the day in, or took it out.
  added_by   text,
  closed_by  text,
  PRIMARY KEY (account_id, plan_id, crew_id, day),
  FOREIGN KEY (account_id, plan_id) REFERENCES plan ON DELETE CASCADE
);

-- Every visit that the plan knew of: on a route, or left out and why.
CREATE TABLE plan_visit (
  account_id    integer NOT NULL,
  plan_id       text NOT NULL,
  visit_id      text NOT NULL,
  site_id       text NOT NULL,
  -- What it was planned by: urgency, loss avoided, hours, skills, and what was expected to be found.
  basis         jsonb NOT NULL,
  crew_id       text,
  day           date,
  position      smallint,
  arrive_at     timestamptz,
  start_at      timestamptz,
  depart_at     timestamptz,
  drive_km      double precision,
  drive_minutes double precision,
  promised      boolean NOT NULL DEFAULT false,
  pinned_by     text,
  -- Done or under way when the rest of the day was planned anew: it stays as it is.
  frozen        boolean NOT NULL DEFAULT false,
  code          text,
  why           text,
  PRIMARY KEY (account_id, plan_id, visit_id),
  FOREIGN KEY (account_id, plan_id) REFERENCES plan ON DELETE CASCADE,
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE
);
CREATE INDEX plan_visit_site ON plan_visit (account_id, site_id);

CREATE TABLE plan_change (
  account_id integer NOT NULL,
  plan_id    text NOT NULL,
  seq        integer NOT NULL,
  at         timestamptz NOT NULL DEFAULT clock_timestamp(),
  person     text NOT NULL,
  kind       text NOT NULL,
  says       text NOT NULL,
  reason     text,
  detail     jsonb NOT NULL DEFAULT '{}',
  PRIMARY KEY (account_id, plan_id, seq),
  FOREIGN KEY (account_id, plan_id) REFERENCES plan ON DELETE CASCADE
);

-- A crew's calendar feed. Whoever has the link reads the crew's days; only the hash of its secret is kept.
CREATE TABLE calendar_feed (
  account_id integer NOT NULL REFERENCES account,
  feed_id    text NOT NULL,
  crew_id    text NOT NULL,
  token_hash bytea NOT NULL,
  made_by    text NOT NULL,
  made_at    timestamptz NOT NULL DEFAULT clock_timestamp(),
  revoked_by text,
  revoked_at timestamptz,
  PRIMARY KEY (account_id, feed_id)
);

-- Who is told of make-safe alerts and of changes to plans.
CREATE TABLE notice_recipient (
  account_id   integer NOT NULL REFERENCES account,
  recipient_id text NOT NULL,
  kind         text NOT NULL CHECK (kind IN ('email', 'webhook')),
  address      text NOT NULL,
  -- Signs what goes to a webhook. Kept in the clear, because a signature needs it whole.
  secret       text,
  make_safe    boolean NOT NULL,
  plan_changes boolean NOT NULL,
  -- HH:MM in time_zone; both null: no quiet hours. A make-safe alert goes out in them too.
  quiet_from   text,
  quiet_to     text,
  time_zone    text NOT NULL,
  added_by     text NOT NULL,
  added_at     timestamptz NOT NULL DEFAULT clock_timestamp(),
  removed_by   text,
  removed_at   timestamptz,
  PRIMARY KEY (account_id, recipient_id)
);

-- One notice to one recipient. The key makes it one, however often the work is begun again.
CREATE TABLE notice (
  account_id   integer NOT NULL,
  recipient_id text NOT NULL,
  event        text NOT NULL,
  notice_id    uuid NOT NULL,
  kind         text NOT NULL CHECK (kind IN ('make_safe', 'plan_change')),
  subject      text NOT NULL,
  body         text NOT NULL,
  detail       jsonb NOT NULL DEFAULT '{}',
  made_at      timestamptz NOT NULL DEFAULT clock_timestamp(),
  state        text NOT NULL DEFAULT 'waiting' CHECK (state IN ('waiting', 'sent', 'given_up')),
  next_at      timestamptz NOT NULL DEFAULT clock_timestamp(),
  attempts     integer NOT NULL DEFAULT 0,
  PRIMARY KEY (account_id, recipient_id, event),
  UNIQUE (account_id, notice_id),
  FOREIGN KEY (account_id, recipient_id) REFERENCES notice_recipient
);
CREATE INDEX notice_due ON notice (account_id, next_at) WHERE state = 'waiting';

-- Each try to hand a notice over. A row without an end is one that a worker was killed in.
CREATE TABLE notice_attempt (
  account_id integer NOT NULL,
  notice_id  uuid NOT NULL,
  attempt    integer NOT NULL,
  begun_at   timestamptz NOT NULL DEFAULT clock_timestamp(),
  ended_at   timestamptz,
  ok         boolean,
  says       text,
  PRIMARY KEY (account_id, notice_id, attempt),
  FOREIGN KEY (account_id, notice_id) REFERENCES notice (account_id, notice_id)
);

DO $$
DECLARE t text;
BEGIN
  FOREACH t IN ARRAY ARRAY['plan', 'plan_day', 'plan_visit', 'plan_change', 'calendar_feed', 'notice_recipient', 'notice', 'notice_attempt']
  LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', t);
    EXECUTE format('CREATE POLICY own_account ON %I USING (account_id = current_account()) WITH CHECK (account_id = current_account())', t);
  END LOOP;
END $$;

GRANT SELECT, INSERT, UPDATE, DELETE ON plan, plan_day, plan_visit TO raintrip_app;
GRANT SELECT, INSERT ON plan_change TO raintrip_app;
GRANT SELECT, INSERT, UPDATE ON calendar_feed, notice_recipient, notice, notice_attempt TO raintrip_app;
