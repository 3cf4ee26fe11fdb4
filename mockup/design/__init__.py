"""The design file: from TOML to records, with every mistake told in one line."""
