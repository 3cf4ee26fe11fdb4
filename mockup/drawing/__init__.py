"""Her own drawings: scans, line drawings and tinted copies read into regions."""
