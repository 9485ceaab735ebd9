-- Whether somebody ever had an emergency in hand. Those that nobody had are counted and listed by this alone: at thousands of
-- them, reading the events of each took most of the time of the ranked list.
ALTER TABLE make_safe ADD COLUMN taken boolean NOT NULL DEFAULT false;
-- Row security binds the owner too, and no account is set here.
ALTER TABLE make_safe NO FORCE ROW LEVEL SECURITY;
ALTER TABLE make_safe_event NO FORCE ROW LEVEL SECURITY;
UPDATE make_safe m SET taken = true WHERE EXISTS (SELECT FROM make_safe_event e
  WHERE e.account_id = m.account_id AND e.make_safe_id = m.make_safe_id AND e.kind NOT IN ('alert', 'escalated', 'hazard', 'watched'));
ALTER TABLE make_safe_event FORCE ROW LEVEL SECURITY;
ALTER TABLE make_safe FORCE ROW LEVEL SECURITY;
CREATE INDEX make_safe_untaken ON make_safe (account_id, opened_at, make_safe_id COLLATE "C") INCLUDE (site_id)
  WHERE closed_at IS NULL AND NOT taken;
CREATE INDEX make_safe_in_hand ON make_safe (account_id, site_id) WHERE closed_at IS NULL AND taken;

-- Every step that a person does takes it, whoever writes the step.
CREATE FUNCTION make_safe_is_taken() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF NEW.kind NOT IN ('alert', 'escalated', 'hazard', 'watched') THEN
    UPDATE make_safe SET taken = true
      WHERE account_id = NEW.account_id AND make_safe_id = NEW.make_safe_id AND NOT taken;
  END IF;
  RETURN NULL;
END $$;
CREATE TRIGGER make_safe_is_taken AFTER INSERT ON make_safe_event FOR EACH ROW EXECUTE FUNCTION make_safe_is_taken();
