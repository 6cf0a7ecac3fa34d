"""Loaded before all else by the process that workers are forked from.

What it loads stays: looking through it for circles, again and again, would keep the first job waiting.
"""

import gc

gc.disable()
