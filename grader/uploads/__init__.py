"""What students send: files of every kind, answers as written, the roster.

From a folder to answers, top to bottom: `files` finds the files and takes their bytes, `formats` turns bytes into tables
and lines, `content` finds the answers in those, `owner` finds the student, `reader` puts it together, `latest` says
which of several uploads counts.  Everything after `files` is pure: bytes in, records out.
"""
