"""The shop's data on disk: tables, transactions, the log, backups."""
