"""Watches that a small crew can keep: rotas, sleepiness, rest, look-out, and what a fall overboard would cost.

    rotas | solo -> sleep -> alertness -> score -> choose -> phases
    rest, lookout, overboard, seasickness, handover stand beside it

Everything about sleepiness is the indication of a model fitted to groups of healthy adults without drugs or caffeine;
it knows nothing of cold, work, fear or seasickness. No number here makes a timed look a proper look-out (COLREG Rule
5).
"""
