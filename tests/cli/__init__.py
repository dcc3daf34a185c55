"""Tests of the command line and of how it writes files."""
