"""Every key of the job file, declared once: name, kind, unit, bounds, what it is and how a new job file offers it.

One file for each table. The reader (``files/job``), a new job file (``files/job/begin``), the hints about misspelled keys and
the reference of the documentation (``docs/build_keys.py``) all come from these records.
"""
