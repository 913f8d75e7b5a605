"""Mechanics of dry clutches: pure functions in SI units, checked against print.

Every function takes keywords only, floats or NumPy arrays that go together by broadcasting, and gives a float where all
of them are scalars. Every function may raise `checks.MechanicsError`: it names the argument that is no finite number or
lies outside the validity, and in an array the elements at fault. A docstring has a section Raises only where something
more can go wrong.

A function stands in one module, under one name; rules, worksheets and the command ``calculate`` find it as
module.function through `knowledge.functions`, where names of older rule sets are led to where it stands now.
"""
