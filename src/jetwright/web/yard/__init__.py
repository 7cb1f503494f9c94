"""The register of everything a crew owns."""
