"""The web page: instant feedback in a browser, and the instructor's desk.

`app` has the routes; `start` opens a `site`, on which everything is: `sheets` (the rubrics as forms), `rules` of attempts,
`access` (codes, sessions, limits), `data` (the database and what goes out of it) and `pages`, which turn a `visit` into a
response.  What people send is read and marked by `workers`, processes of their own that do the jobs of `work`; the
`attempts` that come of it are committed before anybody is told.  The room is thin: it reads with `grader.reading`, marks
with `grader.marking`, and knows no rule of either.
"""

import logging

logging.getLogger(__name__).addHandler(logging.NullHandler())  # what goes wrong before anybody listens is said once
