"""What was signed, sealed and chained, never changed."""
