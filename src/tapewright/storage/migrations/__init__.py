"""Migrations: the steps by which an older notebook becomes one of today."""
