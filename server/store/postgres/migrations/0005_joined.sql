ALTER TABLE members ADD COLUMN inviter text COLLATE "C" NOT NULL DEFAULT ''; -- actor who made the invitation
ALTER TABLE members ADD COLUMN same_as uuid; -- member under whose token the invitation was taken up
