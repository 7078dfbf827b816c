"""Where the rain goes: storms, runoff, rows that hold and spill, drains and soil loss.

One trade concept a file. Depths of rain and runoff are metres, times seconds, flows m3/s. The
``slope`` of ground is an angle; the ``gradient`` of running water is fall over run, a pure number.
"""
