"""Who works here: users, their roles, signing in."""
