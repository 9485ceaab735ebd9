-- Pieces of metal and bonds on a site's way to ground that no file of a drop names; people record them by hand.
CREATE TABLE path_piece (
  account_id  integer NOT NULL,
  site_id     text NOT NULL,
  piece_id    text NOT NULL,
  kind        text NOT NULL,
  name        text,
  section_id  text,
  inverter_id text,
  -- Id of the link that it stands in; null: it stands beside the way and is bonded to bonded_to.
  stands_in   text,
  place       integer NOT NULL,
  bonded_to   text,
  method      text,
  awg         text,
  material    text,
  listed      text,
  PRIMARY KEY (account_id, site_id, piece_id),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE,
  CHECK (stands_in IS NULL OR bonded_to IS NULL)
);

CREATE TABLE path_bond (
  account_id integer NOT NULL,
  site_id    text NOT NULL,
  bond_id    text NOT NULL,
  from_point text NOT NULL,
  to_point   text NOT NULL,
  method     text,
  awg        text,
  material   text,
  listed     text,
  PRIMARY KEY (account_id, site_id, bond_id),
  FOREIGN KEY (account_id, site_id) REFERENCES site ON DELETE CASCADE,
  CHECK (from_point <> to_point)
);

DO $$
DECLARE t text;
BEGIN
  FOREACH t IN ARRAY ARRAY['path_piece', 'path_bond']
  LOOP
    EXECUTE format('ALTER TABLE %I ENABLE ROW LEVEL SECURITY', t);
    EXECUTE format('ALTER TABLE %I FORCE ROW LEVEL SECURITY', t);
    EXECUTE format('CREATE POLICY own_account ON %I USING (account_id = current_account()) WITH CHECK (account_id = current_account())', t);
  END LOOP;
END $$;

GRANT SELECT, INSERT, UPDATE, DELETE ON path_piece, path_bond TO raintrip_app;
