"""The consultation page: a small web server on this machine, and the page it serves.

Nothing about shape or judgement is worked out here or in the browser: every change of a control comes back
as a sheet, goes through ``preview`` and is shown.
"""
