"""Who may come in, how often and with how much: codes, sessions, limits, and the headers of every answer."""
