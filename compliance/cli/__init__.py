"""The command line: parsing, exit codes, one error map; each command loads when called."""
