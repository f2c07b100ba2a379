"""Growth in length: the von Bertalanffy curve on the growth clock, and what can be told from it.

`cells` and `year_effects` fit growth over seasons, with good and poor years and groups together;
`likelihood` fits three forms of curve, and fish kept from some length on; `survivors` counts in
the fast growers that anglers took; `fit` fits one curve;
`resample` gives joint draws of its values by parties, then fish; `compare` asks whether groups
share it; `told` gives lengths, years and spread from draws; `straight` is the line for fish that
carry no curve.
"""
