"""A second solution of the same equations, sharing no code with the package it judges."""
