"""Job files and shop files: TOML to frozen data, with every problem located and all of them in one report."""
