"""One file per mistake (``ENTRY``) or tight family of mistakes (``ENTRIES``); found by folder."""
