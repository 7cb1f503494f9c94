"""Worked cases in a crew's terms.

Source of every expected number: computed by three independent programs (IAPWS-95 water, exact Colebrook, the equations
of docs/job-file.md) that agree to the digits shown.
"""
