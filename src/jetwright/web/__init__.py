"""The counter in a browser: people, yard, jobs and records, as pages."""
