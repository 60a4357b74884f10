ALTER TABLE members ADD COLUMN inviter TEXT NOT NULL DEFAULT ''; -- actor who made the invitation
ALTER TABLE members ADD COLUMN same_as TEXT; -- member under whose token the invitation was taken up
