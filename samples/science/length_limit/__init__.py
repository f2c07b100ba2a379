"""Would a minimum length limit help: what fish of one lake arm would do under it.

`axes` tells where the limit lies on the growth curve and what takes fish before it;
`per_recruit` gives harvest and lengths under any rule; `surface` does so over many limits and
rates of harvest at once; `verdict` names what weighs most, with its probability.
"""
