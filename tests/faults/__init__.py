"""Simulated phones log fish while answers are lost and servers are killed.

By hand: python -m tests.faults --small, or --large, or --small --broken lock.
"""
