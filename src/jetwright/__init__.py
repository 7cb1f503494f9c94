"""Jetwright: plan a high-pressure water-jetting rig and show what it asks of every part."""

__version__ = "0.1.0"
