"""Migrations of this app."""
