"""The workshop screen: pages in the browser of this machine, made on the server from the service's answers.

It computes nothing: plans, limits, outlines and records come from ``app``. Only the command line imports it.
"""
