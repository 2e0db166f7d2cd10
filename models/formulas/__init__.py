"""Mechanics: plain numbers in, plain numbers out (mm, N, MPa), with the source and standing of every formula.

Nothing here judges a design: turning numbers into findings is the work of the checks. A `Num` is a number or an array
of numbers: functions of them broadcast, and return an array (or a result whose fields are arrays) when one of them is
an array.

Standing words used in the docstrings: *published* (read in an open text or standard), *from memory* (confirm against
the named standard), *common practice, no source*, *exact* (geometry or statics).

A result may be a numpy float (a kind of float) even for plain numbers: wrap it in float() before printing its repr.
"""
