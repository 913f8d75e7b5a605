"""Pages in a browser for customers, counter and lead: over the same rooms, the same records and the same words.

Nothing here is imported by the terminal's commands but ``serve``. No page needs a script, and none is sent. How what is
asked of a safe application is met, and by which test, stands in ``SECURITY.md`` beside this file.
"""
