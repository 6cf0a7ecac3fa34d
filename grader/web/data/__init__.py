"""What is kept and what goes out of it again: the folder, the database, decisions, uploads."""
