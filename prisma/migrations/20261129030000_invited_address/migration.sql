-- The e-mail address that somebody was invited by: who joins has to have it. Null: the link alone decides.
ALTER TABLE person ADD COLUMN invited_email text CHECK (invited_email <> '');
